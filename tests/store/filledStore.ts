import { createHash, randomUUID } from 'node:crypto';
import { classMapPng } from '@/lib/report/classMapFile';
import { classMapName } from '@/lib/store/analyses';
import { addCheck } from '@/lib/store/checks';
import { openStore, type Store } from '@/lib/store/database';
import { keepPhoto } from '@/lib/store/photoFiles';
import { addPhoto } from '@/lib/store/photos';
import { weighProduct } from '@/lib/store/products';
import { inPieces, storedRun } from './temporaryStore';

/** A photo that was read; its figures are not of interest here, only that they are there and how large its picture is. */
export async function gradedPhoto(store: Store, productId: string, name: string) {
	const kept = await keepPhoto(store.files, inPieces(Buffer.from(name.repeat(300))));
	const id = await addPhoto(
		store,
		{ id: randomUUID(), spreadId: randomUUID(), productId, originalName: `${name}.jpg` },
		kept,
	);
	const key = createHash('sha256').update(name).digest('hex');
	const size = { width: 6, height: 4 };
	const labels = new Uint8Array(24).map((_, at) => at % 3);
	const map = await classMapPng({ ...size, columnOffset: 0, rowOffset: 0, labels }, size);
	await store.files.write(classMapName(key), map);
	const result = JSON.stringify({ widthPx: 6, heightPx: 4, warnings: [] });
	await store.db
		.insertInto('analysis')
		.values({ key, result, engine_version: 'made up', took_ms: 1, created_at: '2026-03-05T10:00:00.000Z' })
		.execute();
	await store.db.updateTable('photo').set({ state: 'graded', analysis_key: key }).where('id', '=', id).execute();
	return { id, key, sha256: kept.sha256 };
}

/** A data directory with a lot, a run, a weight, a check and two read photos. */
export async function filledStore(directory: string) {
	const store = await openStore(directory);
	const { runId, productId } = await storedRun(store);
	await weighProduct(store, productId, { gross: '5,07', tare: '0.78', unit: 'kg' });
	await addCheck(store, {
		id: randomUUID(),
		productId,
		entry: { kind: 'magnet', sample: '50,0 g', pulled: '0.4' },
	});
	const photos = [await gradedPhoto(store, productId, 'first'), await gradedPhoto(store, productId, 'second')];
	return { store, runId, productId, photos };
}
