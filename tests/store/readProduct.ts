import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import sharp from 'sharp';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import type { Store } from '@/lib/store/database';
import { readingChoiceSchema } from '@/lib/store/entries';
import { keepPhoto } from '@/lib/store/photoFiles';
import { addPhoto } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { weighProduct } from '@/lib/store/products';
import { storedRun } from './temporaryStore';

/** A place and a device, as phones write them into photos. */
const TELL_TALES = {
	IFD0: { Make: 'InventedMaker', Model: 'InventedPhone' },
	IFD3: { GPSLatitude: '52/1 30/1 0/1', GPSLatitudeRef: 'N', GPSLongitude: '13/1 24/1 0/1', GPSLongitudeRef: 'E' },
};

/** A photo of a concentrate with a place and a device in it. */
export async function telltalePhoto(): Promise<Uint8Array> {
	const bytes = await readFile('demo-images/dev-run-conc1-tray1.jpg');
	return sharp(bytes).keepMetadata().withExif(TELL_TALES).jpeg({ quality: 92 }).toBuffer();
}

/** A weighed product with one photo, read by colour thresholds. */
export async function readProduct(store: Store) {
	const { runId, productId } = await storedRun(store);
	await weighProduct(store, productId, { gross: '5.07', tare: '0.78', unit: 'kg' });
	const bytes = await telltalePhoto();
	const kept = await keepPhoto(store.files, [bytes]);
	const photo = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: 'spread.jpg' };
	await addPhoto(store, photo, kept, readingChoiceSchema.parse({ method: 'threshold' }));
	const queue = await startAnalysisQueue(store, POOL_HERE);
	queue.wake();
	await queue.settled();
	return { runId, productId, photoId: photo.id, bytes, sha256: kept.sha256 };
}
