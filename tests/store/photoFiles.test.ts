import { createHash } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import type { Files } from '@/lib/store/files';
import { keepPhoto, photoName, readPhoto } from '@/lib/store/photoFiles';
import { inPieces, temporaryStore } from './temporaryStore';

const BYTES = new Uint8Array(5000).map((_, i) => (i * 7) % 251);
const SHA256 = createHash('sha256').update(BYTES).digest('hex');

/** All that is kept of photos, and all that an upload left half-way. */
async function filesIn(files: Files): Promise<readonly string[]> {
	return [...(await files.list('photos/')), ...readdirSync(files.passing)];
}

test('a photo is kept byte for byte under its checksum', async () => {
	const { files } = await temporaryStore();
	expect(await keepPhoto(files, inPieces(BYTES))).toEqual({ sha256: SHA256, sizeBytes: 5000 });
	expect(await filesIn(files)).toEqual([photoName(SHA256)]);
	expect(new Uint8Array(await readPhoto(files, SHA256))).toEqual(BYTES);
});

test('the same photo sent twice is kept once', async () => {
	const { files } = await temporaryStore();
	await keepPhoto(files, inPieces(BYTES));
	await keepPhoto(files, inPieces(BYTES));
	expect(await filesIn(files)).toHaveLength(1);
});

test('bytes that do not match the sender’s checksum leave nothing behind', async () => {
	const { files } = await temporaryStore();
	const wrong = createHash('sha256').update('other').digest('hex');
	await expect(keepPhoto(files, inPieces(BYTES), { expectedSha256: wrong })).rejects.toMatchObject({
		code: 'photo-unreadable',
		message: expect.stringContaining('damaged on its way'),
	});
	expect(await filesIn(files)).toEqual([]);
});

test('a file over the limit is refused while it is still arriving, and an empty one at its end', async () => {
	const { files } = await temporaryStore();
	const refused = keepPhoto(files, inPieces(BYTES), { maxBytes: 4000 });
	await expect(refused).rejects.toMatchObject({ code: 'photo-too-large' });
	await expect(keepPhoto(files, [])).rejects.toMatchObject({
		code: 'photo-unreadable',
		message: 'The file is empty.',
	});
	expect(await filesIn(files)).toEqual([]);
});

test('a connection that breaks half-way leaves nothing behind', async () => {
	const { files } = await temporaryStore();
	async function* broken() {
		yield BYTES.subarray(0, 2000);
		throw new Error('connection lost');
	}
	await expect(keepPhoto(files, broken())).rejects.toThrow('connection lost');
	expect(await filesIn(files)).toEqual([]);
});

test('an original that was altered or lost is told, not used', async () => {
	const { files } = await temporaryStore();
	await keepPhoto(files, inPieces(BYTES));
	const altered = Uint8Array.from(await readPhoto(files, SHA256));
	altered[100] = altered[100]! ^ 1;
	await files.write(photoName(SHA256), altered);
	await expect(readPhoto(files, SHA256)).rejects.toMatchObject({ message: expect.stringContaining('altered') });
	const missing = createHash('sha256').update('never sent').digest('hex');
	await expect(readPhoto(files, missing)).rejects.toMatchObject({ message: expect.stringContaining('missing') });
});
