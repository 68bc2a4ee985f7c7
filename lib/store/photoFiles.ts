import 'server-only';
import { createHash, randomUUID } from 'node:crypto';
import { open, readFile, rm } from 'node:fs/promises';
import path from 'node:path';
import { TrayError } from '../errors/TrayError';
import { MAX_PHOTO_BYTES } from '../photo/decode';
import type { Files } from './files';
import { sha256Of } from './sha256Of';
import { inPlainWords, storageError } from './storageFault';

/** A photo that lies safely in the photo folder. */
export interface KeptPhoto {
	readonly sha256: string;
	readonly sizeBytes: number;
}

/** The name that the original with this checksum is kept under: photos/ab/cdef... */
export function photoName(sha256: string): string {
	return `photos/${sha256.slice(0, 2)}/${sha256.slice(2)}`;
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
	files: Files,
	chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
	rules: {
		readonly expectedSha256?: string | undefined;
		readonly maxBytes?: number;
		readonly check?: (bytes: Uint8Array) => Promise<void>;
	} = {},
): Promise<KeptPhoto> {
	const { expectedSha256, maxBytes = MAX_PHOTO_BYTES, check } = rules;
	const passing = path.join(files.passing, `${randomUUID()}.part`);
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
		await settle(passing, files, sha256);
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
async function settle(passing: string, files: Files, sha256: string): Promise<void> {
	if ((await stateOfPhoto(files, sha256)) === 'whole') return rm(passing, { force: true });
	await files.moveIn(photoName(sha256), passing);
}

/** How the original with this checksum is kept. */
export async function stateOfPhoto(files: Files, sha256: string): Promise<'whole' | 'missing' | 'altered'> {
	const bytes = await files.read(photoName(sha256));
	if (bytes === undefined) return 'missing';
	return sha256Of(bytes) === sha256 ? 'whole' : 'altered';
}

/**
 * The untouched bytes of a kept photo.
 *
 * @throws TrayError `storage` when the file is gone or no longer matches its checksum
 */
export async function readPhoto(files: Files, sha256: string): Promise<Uint8Array> {
	const bytes = await files.read(photoName(sha256));
	if (bytes === undefined) throw storageError('photo-missing');
	if (sha256Of(bytes) !== sha256) throw storageError('photo-altered');
	return bytes;
}
