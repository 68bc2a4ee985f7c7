import 'server-only';
import { createHash, randomUUID } from 'node:crypto';
import { lstat, mkdir, open, readFile, rename, rm } from 'node:fs/promises';
import path from 'node:path';
import { TrayError } from '../errors/TrayError';
import { MAX_PHOTO_BYTES } from '../photo/decode';
import { inPlainWords, storageError } from './storageFault';

/** A photo that lies safely in the photo folder. */
export interface KeptPhoto {
  readonly sha256: string;
  readonly sizeBytes: number;
}

/** Where the original with this checksum lies: photos/ab/cdef... */
export function photoPath(directory: string, sha256: string): string {
  return path.join(directory, 'photos', sha256.slice(0, 2), sha256.slice(2));
}

/**
 * Take in a photo byte by byte: counted, hashed, forced to disk under a passing name, then renamed to its checksum.
 *
 * Until the rename nothing of it can be seen; after it, nothing alters it. The same bytes sent twice are kept once.
 *
 * @param rules.expectedSha256 - the sender's own checksum, lower-case hex; bytes that do not match are thrown away
 * @param rules.check - throws when the whole file is not what may be kept
 * @throws TrayError `photo-too-large` or `photo-unreadable`; a broken connection's own error goes through. Nothing stays behind.
 */
export async function keepPhoto(
  directory: string,
  chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  rules: {
    readonly expectedSha256?: string | undefined;
    readonly maxBytes?: number;
    readonly check?: (bytes: Uint8Array) => Promise<void>;
  } = {},
): Promise<KeptPhoto> {
  const { expectedSha256, maxBytes = MAX_PHOTO_BYTES, check } = rules;
  const passing = path.join(directory, 'incoming', `${randomUUID()}.part`);
  const file = await openNew(passing);
  const hash = createHash('sha256');
  let sizeBytes = 0;
  try {
    try {
      for await (const chunk of chunks) {
        sizeBytes += chunk.byteLength;
        if (sizeBytes > maxBytes) throw tooLarge(maxBytes);
        hash.update(chunk);
        await file.writeFile(chunk);
      }
      await file.sync();
    } finally {
      await file.close();
    }
    const sha256 = hash.digest('hex');
    if (sizeBytes === 0)
      throw new TrayError('photo-unreadable', 'The file is empty.', 'Take or choose the photo again.');
    if (expectedSha256 !== undefined && expectedSha256 !== sha256) {
      throw new TrayError('photo-unreadable', 'The photo was damaged on its way here.', 'Send it again.');
    }
    await check?.(await readFile(passing));
    await settle(passing, directory, sha256);
    return { sha256, sizeBytes };
  } catch (error) {
    await rm(passing, { force: true });
    throw inPlainWords(error);
  }
}

function tooLarge(maxBytes: number): TrayError {
  return new TrayError(
    'photo-too-large',
    `The file is larger than ${Math.floor(maxBytes / 1e6)} megabytes.`,
    'Set the phone to a smaller picture size, or choose the photo itself instead of a film or an archive.',
  );
}

/** A file of this name that is not there yet, open for writing. */
async function openNew(name: string) {
  try {
    return await open(name, 'wx');
  } catch (error) {
    throw inPlainWords(error);
  }
}

/** An original that lies there whole stays; a lost or altered one is put right by the bytes that just came. */
async function settle(passing: string, directory: string, sha256: string): Promise<void> {
  if ((await stateOnDisk(directory, sha256)) === 'whole') return rm(passing, { force: true });
  const final = photoPath(directory, sha256);
  await mkdir(path.dirname(final), { recursive: true });
  await rename(passing, final);
  // the name itself must be on disk before anybody is told that the photo is kept
  const folder = await open(path.dirname(final), 'r');
  await folder.sync();
  await folder.close();
}

/** How the original with this checksum lies on the disk. */
export async function stateOnDisk(directory: string, sha256: string): Promise<'whole' | 'missing' | 'altered'> {
  const bytes = await bytesOnDisk(directory, sha256);
  if (bytes === undefined) return 'missing';
  return hashOf(bytes) === sha256 ? 'whole' : 'altered';
}

/**
 * The untouched bytes of a kept photo.
 *
 * @throws TrayError `storage` when the file is gone or no longer matches its checksum
 */
export async function readPhoto(directory: string, sha256: string): Promise<Uint8Array> {
  const bytes = await bytesOnDisk(directory, sha256);
  if (bytes === undefined) throw storageError('photo-missing');
  if (hashOf(bytes) !== sha256) throw storageError('photo-altered');
  return bytes;
}

function hashOf(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

async function bytesOnDisk(directory: string, sha256: string): Promise<Uint8Array | undefined> {
  const file = photoPath(directory, sha256);
  try {
    // a link in the place of an original is not followed, wherever it leads: it reads as altered
    return (await lstat(file)).isFile() ? await readFile(file) : new Uint8Array();
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return undefined;
    throw inPlainWords(error);
  }
}

/**
 * Write a file that can be made again (class map, preview), whole or not at all.
 *
 * @throws TrayError `storage` when the disk is full or may not be written
 */
export async function writeWhole(directory: string, final: string, bytes: Uint8Array): Promise<void> {
  const passing = path.join(directory, 'incoming', `${randomUUID()}.part`);
  const file = await openNew(passing);
  try {
    try {
      await file.writeFile(bytes);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(passing, final);
  } catch (error) {
    await rm(passing, { force: true });
    throw inPlainWords(error);
  }
}
