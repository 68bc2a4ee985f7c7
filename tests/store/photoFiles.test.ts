import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { lstatSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { keepPhoto, photoPath, readPhoto } from '@/lib/store/photoFiles';
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
  const { directory } = await temporaryStore();
  expect(await keepPhoto(directory, inPieces(BYTES))).toEqual({ sha256: SHA256, sizeBytes: 5000 });
  expect(filesIn(directory)).toEqual([photoPath(directory, SHA256)]);
  expect(new Uint8Array(await readPhoto(directory, SHA256))).toEqual(BYTES);
});

test('the same photo sent twice is kept once', async () => {
  const { directory } = await temporaryStore();
  await keepPhoto(directory, inPieces(BYTES));
  await keepPhoto(directory, inPieces(BYTES));
  expect(filesIn(directory)).toHaveLength(1);
});

test('bytes that do not match the sender’s checksum leave nothing behind', async () => {
  const { directory } = await temporaryStore();
  const wrong = createHash('sha256').update('other').digest('hex');
  await expect(keepPhoto(directory, inPieces(BYTES), { expectedSha256: wrong })).rejects.toMatchObject({
    code: 'photo-unreadable',
    message: expect.stringContaining('damaged on its way'),
  });
  expect(filesIn(directory)).toEqual([]);
});

test('a file over the limit is refused while it is still arriving, and an empty one at its end', async () => {
  const { directory } = await temporaryStore();
  const refused = keepPhoto(directory, inPieces(BYTES), { maxBytes: 4000 });
  await expect(refused).rejects.toMatchObject({ code: 'photo-too-large' });
  await expect(keepPhoto(directory, [])).rejects.toMatchObject({
    code: 'photo-unreadable',
    message: 'The file is empty.',
  });
  expect(filesIn(directory)).toEqual([]);
});

test('a connection that breaks half-way leaves nothing behind', async () => {
  const { directory } = await temporaryStore();
  async function* broken() {
    yield BYTES.subarray(0, 2000);
    throw new Error('connection lost');
  }
  await expect(keepPhoto(directory, broken())).rejects.toThrow('connection lost');
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
  const { directory } = await temporaryStore();
  await keepPhoto(directory, inPieces(BYTES));
  const altered = readFileSync(photoPath(directory, SHA256));
  altered[100] = altered[100]! ^ 1;
  writeFileSync(photoPath(directory, SHA256), altered);
  await expect(readPhoto(directory, SHA256)).rejects.toMatchObject({ message: expect.stringContaining('altered') });
  const missing = createHash('sha256').update('never sent').digest('hex');
  await expect(readPhoto(directory, missing)).rejects.toMatchObject({ message: expect.stringContaining('missing') });
});

test('a link in the place of an original is not followed, and gives way to the photo when it is sent again', async () => {
  const { directory } = await temporaryStore();
  mkdirSync(path.dirname(photoPath(directory, SHA256)), { recursive: true });
  symlinkSync('/dev/zero', photoPath(directory, SHA256));
  await expect(readPhoto(directory, SHA256)).rejects.toMatchObject({ message: expect.stringContaining('altered') });
  await keepPhoto(directory, inPieces(BYTES));
  expect(lstatSync(photoPath(directory, SHA256)).isFile()).toBe(true);
  expect(Buffer.from(await readPhoto(directory, SHA256)).equals(BYTES)).toBe(true);
});
