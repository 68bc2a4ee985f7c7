import { randomUUID } from 'node:crypto';
import { rmSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { classMapName } from '@/lib/store/analyses';
import type { Store } from '@/lib/store/database';
import { analysePhoto, outlinePieces } from '@/lib/store/engine';
import { isPostgres } from '@/lib/store/isPostgres';
import { photoName, readPhoto } from '@/lib/store/photoFiles';
import { choosePhotoReading, getPhoto } from '@/lib/store/photos';
import { previewOf } from '@/lib/store/pictures';
import { piecePictureOf } from '@/lib/store/piecePictures';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { getBoard } from '@/lib/store/workedRun';
import { readAll, sendTray, TRAY } from './sentTray';
import { inPieces, storedRun, temporaryStore } from './temporaryStore';

const POOL = { size: 1, analysePhoto };

/** A disk or a server loses a file, not the row that names it. */
async function loseFile(store: Store, name: string): Promise<void> {
	if (isPostgres(store.db)) await store.db.deleteFrom('stored_file').where('name', '=', name).execute();
	else rmSync(path.join(store.directory, name));
}

test('a lost or altered original leaves its figures; the same photo sent again puts it right', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	await readAll(store, POOL);
	const { sha256, spreadId } = await getPhoto(store, id);
	const name = photoName(sha256);
	const again = () =>
		takeInPhoto(store, { id: randomUUID(), spreadId, productId, originalName: 'tray.jpg' }, inPieces(TRAY, 65_536));
	for (const spoil of [() => loseFile(store, name), () => store.files.write(name, TRAY.subarray(0, 1000))]) {
		await spoil();
		await expect(previewOf(store, sha256, 100)).rejects.toMatchObject({
			hint: expect.stringContaining('Send the photo'),
		});
		const [product] = (await getBoard(store, runId)).products;
		expect(product?.spreads[0]?.photos[0]?.analysis?.surface).toBe('mat');
		expect((await again()).id).toBe(id);
		expect(TRAY.equals(await readPhoto(store.files, sha256))).toBe(true);
	}
});

test('a lost picture of the classes is told in a sentence and made anew when the photo is read again', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	await readAll(store, POOL);
	const photo = await getPhoto(store, id);
	if (photo.state.kind !== 'graded') throw new Error(`graded expected, got ${photo.state.kind}`);
	await loseFile(store, classMapName(photo.state.analysisKey));
	await expect(piecePictureOf(store, { outlinePieces }, id)).rejects.toMatchObject({
		hint: expect.stringContaining('Read the photo'),
	});
	await choosePhotoReading(store, id, photo.choice);
	await readAll(store, POOL);
	expect((await piecePictureOf(store, { outlinePieces }, id)).byteLength).toBeGreaterThan(100);
});
