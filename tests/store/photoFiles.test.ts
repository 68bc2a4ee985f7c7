import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { lstatSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { keepPhoto, photoName, readPhoto } from '@/lib/store/photoFiles';
import { inPieces, temporaryFolder, temporaryStore } from './temporaryStore';

const BYTES = new Uint8Array(5000).map((_, i) => (i * 7) % 251);
const SHA256 = createHash('sha256').update(BYTES).digest('hex');

/** All files below the photo and the passing folders. */
function filesIn(directory: string): string[] {
  return ['photos', 'incoming'].flatMap((folder) =>
    readdirSync(path.join(directory, folder), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => path.join(entry.parentPath, entry.name)),
  );
}

test('a photo is kept byte for byte under its checksum', async () => {
  const { directory, files } = await temporaryStore();
  expect(await keepPhoto(files, inPieces(BYTES))).toEqual({ sha256: SHA256, sizeBytes: 5000 });
  expect(filesIn(directory)).toEqual([path.join(directory, photoName(SHA256))]);
  expect(new Uint8Array(await readPhoto(files, SHA256))).toEqual(BYTES);
});

test('the same photo sent twice is kept once', async () => {
  const { directory, files } = await temporaryStore();
  await keepPhoto(files, inPieces(BYTES));
  await keepPhoto(files, inPieces(BYTES));
  expect(filesIn(directory)).toHaveLength(1);
});

test('bytes that do not match the sender’s checksum leave nothing behind', async () => {
  const { directory, files } = await temporaryStore();
  const wrong = createHash('sha256').update('other').digest('hex');
  await expect(keepPhoto(files, inPieces(BYTES), { expectedSha256: wrong })).rejects.toMatchObject({
    code: 'photo-unreadable',
    message: expect.stringContaining('damaged on its way'),
  });
  expect(filesIn(directory)).toEqual([]);
});

test('a file over the limit is refused while it is still arriving, and an empty one at its end', async () => {
  const { directory, files } = await temporaryStore();
  const refused = keepPhoto(files, inPieces(BYTES), { maxBytes: 4000 });
  await expect(refused).rejects.toMatchObject({ code: 'photo-too-large' });
  await expect(keepPhoto(files, [])).rejects.toMatchObject({
    code: 'photo-unreadable',
    message: 'The file is empty.',
  });
  expect(filesIn(directory)).toEqual([]);
});

test('a connection that breaks half-way leaves nothing behind', async () => {
  const { directory, files } = await temporaryStore();
  async function* broken() {
    yield BYTES.subarray(0, 2000);
    throw new Error('connection lost');
  }
  await expect(keepPhoto(files, broken())).rejects.toThrow('connection lost');
  expect(filesIn(directory)).toEqual([]);
});

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
  expect(filesIn(folder)).toEqual([]);
  expect(await store.db.selectFrom('photo').selectAll().execute()).toEqual([]);
});

test('an original that was altered or lost on disk is told, not used', async () => {
  const { directory, files } = await temporaryStore();
  await keepPhoto(files, inPieces(BYTES));
  const altered = readFileSync(path.join(directory, photoName(SHA256)));
  altered[100] = altered[100]! ^ 1;
  writeFileSync(path.join(directory, photoName(SHA256)), altered);
  await expect(readPhoto(files, SHA256)).rejects.toMatchObject({ message: expect.stringContaining('altered') });
  const missing = createHash('sha256').update('never sent').digest('hex');
  await expect(readPhoto(files, missing)).rejects.toMatchObject({ message: expect.stringContaining('missing') });
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
