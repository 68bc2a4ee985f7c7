import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { lstatSync, mkdirSync, readdirSync, symlinkSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { keepPhoto, photoName, readPhoto } from '@/lib/store/photoFiles';
import { inPieces, temporaryFolder, temporaryStore } from './temporaryStore';

const BYTES = new Uint8Array(5000).map((_, i) => (i * 7) % 251);
const SHA256 = createHash('sha256').update(BYTES).digest('hex');

test('a program killed in the middle of an upload leaves no photo, and its rest is cleared at the next start', async () => {
	const folder = await temporaryFolder();
	await (await temporaryStore(folder)).close();
	const child = spawn(
		process.execPath,
		['--conditions=react-server', '--import', 'tsx', 'tests/store/halfAnUpload.ts', folder],
		{ stdio: ['ignore', 'pipe', 'inherit'] },
	);
	await once(child.stdout, 'data');
	expect(readdirSync(path.join(folder, 'incoming'))).toHaveLength(1);
	child.kill('SIGKILL');
	await once(child, 'exit');
	const store = await temporaryStore(folder);
	expect(readdirSync(store.files.passing)).toEqual([]);
	expect(await store.files.list('photos/')).toEqual([]);
	expect(await store.db.selectFrom('photo').selectAll().execute()).toEqual([]);
});

test('a link in the place of an original is not followed, and gives way to the photo when it is sent again', async () => {
	const { directory, files } = await temporaryStore();
	mkdirSync(path.dirname(path.join(directory, photoName(SHA256))), { recursive: true });
	symlinkSync('/dev/zero', path.join(directory, photoName(SHA256)));
	await expect(readPhoto(files, SHA256)).rejects.toMatchObject({ message: expect.stringContaining('altered') });
	await keepPhoto(files, inPieces(BYTES));
	expect(lstatSync(path.join(directory, photoName(SHA256))).isFile()).toBe(true);
	expect(Buffer.from(await readPhoto(files, SHA256)).equals(BYTES)).toBe(true);
});
