import 'server-only';
import { createReadStream } from 'node:fs';
import { extract } from 'tar-stream';
import { z } from 'zod';
import { TrayError } from '../errors/TrayError';
import { sha256Of } from './sha256Of';

/** Names that a backup may hold: below the data directory and nowhere else. No part of a name begins with a point. */
const NAME = /^[0-9A-Za-z][\w.-]*(\/[0-9A-Za-z][\w.-]*)*$/;

const sha256Schema = z.stringFormat('sha256', /^[0-9a-f]{64}$/);

/** The first file of a backup, `backup.json`: what the archive holds and how each file is known again. */
const manifestSchema = z
	.object({
		deckside: z.literal('backup/1'),
		madeAt: z.string(),
		/** Migrations that the database has gone through. */
		migrations: z.array(z.string()),
		files: z.array(
			z.object({ name: z.stringFormat('name', NAME), sizeBytes: z.int().nonnegative(), sha256: sha256Schema }),
		),
		/** Checksums of originals that were on record but missing or altered when the backup was made. */
		lostPhotos: z.array(sha256Schema),
	})
	.readonly();
export type BackupManifest = z.infer<typeof manifestSchema>;

/** Name of the manifest within the archive. */
export const MANIFEST_NAME = 'backup.json';

/**
 * Read a backup from start to end: each file is handed over once its checksum was proved.
 *
 * @param take - called with the manifest's word for each file and its bytes
 * @returns the manifest, when every file that it names was there and whole
 * @throws TrayError `file-unreadable` when it is no backup, is cut short or was altered
 */
export async function readBackup(
	file: string,
	take: (name: string, bytes: Uint8Array) => Promise<void>,
	accept: (manifest: BackupManifest) => void = () => {},
): Promise<BackupManifest> {
	const archive = createReadStream(file);
	const entries = archive.pipe(extract());
	archive.on('error', (error) => entries.destroy(error));
	let manifest: BackupManifest | undefined;
	const left = new Map<string, BackupManifest['files'][number]>();
	try {
		for await (const entry of entries) {
			const { name, type } = entry.header;
			const bytes = await bytesOf(entry);
			if (manifest === undefined) {
				manifest = readManifest(name, bytes);
				accept(manifest);
				for (const one of manifest.files) left.set(one.name, one);
				continue;
			}
			const expected = left.get(name);
			if (type !== 'file' || expected === undefined) throw notWhole(`it holds ${name}, which it does not list`);
			const sha256 = sha256Of(bytes);
			if (sha256 !== expected.sha256) throw notWhole(`${name} was altered`);
			await take(name, bytes);
			left.delete(name);
		}
	} catch (cause) {
		if (cause instanceof TrayError) throw cause;
		throw notWhole('it cannot be read to its end', cause);
	}
	if (manifest === undefined) throw notWhole('it is empty');
	const [missing] = left.keys();
	if (missing !== undefined) throw notWhole(`${missing} is missing`);
	return manifest;
}

async function bytesOf(entry: AsyncIterable<unknown>): Promise<Uint8Array> {
	const chunks: Uint8Array[] = [];
	for await (const chunk of entry) if (chunk instanceof Uint8Array) chunks.push(chunk);
	return Buffer.concat(chunks);
}

function readManifest(name: string, bytes: Uint8Array): BackupManifest {
	try {
		if (name === MANIFEST_NAME) return manifestSchema.parse(JSON.parse(Buffer.from(bytes).toString('utf8')));
	} catch (cause) {
		throw notWhole('its list of files cannot be read', cause);
	}
	throw notWhole('it is an archive of something else');
}

function notWhole(reason: string, cause?: unknown): TrayError {
	const hint = 'Nothing was changed. Use another backup.';
	return new TrayError('file-unreadable', `This backup can't be used: ${reason}.`, hint, { cause });
}
