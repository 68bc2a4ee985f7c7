import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import type { Store } from '@/lib/store/database';
import { choosePhotoReading } from '@/lib/store/photos';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { inPieces } from './temporaryStore';

/** A photo of tailings on the mat. */
export const TRAY = readFileSync('demo-images/dev-run-tailings-tray1.jpg');
/** Read by colours alone, which takes no model. */
export const BY_COLOURS = { surface: 'auto', method: 'threshold' } as const;

/** Send a photo for a bin as a phone does, to be read by colours; returns the id it is kept under. */
export async function sendTray(
	store: Store,
	productId: string,
	bytes: Uint8Array = TRAY,
	spreadId: string = randomUUID(),
): Promise<string> {
	const sent = { id: randomUUID(), spreadId, productId, originalName: 'tray.jpg' };
	const { id } = await takeInPhoto(store, sent, inPieces(bytes, 65_536));
	await choosePhotoReading(store, id, BY_COLOURS);
	return id;
}

/** Read all that waits. */
export async function readAll(store: Store, pool: Parameters<typeof startAnalysisQueue>[1]): Promise<void> {
	const queue = await startAnalysisQueue(store, pool);
	queue.wake();
	await queue.settled();
}
