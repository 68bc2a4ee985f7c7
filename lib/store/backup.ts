import 'server-only';
import { createWriteStream, existsSync } from 'node:fs';
import { mkdtemp, open, readFile, rename, rm } from 'node:fs/promises';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import Database from 'better-sqlite3';
import { pack } from 'tar-stream';
import { TrayError } from '../errors/TrayError';
import { type BackupManifest, MANIFEST_NAME, readBackup } from './backupFile';
import { databasePath, migrationsIn, openReadOnly } from './database';
import { keptBesideOriginals } from './files';
import { localFiles } from './localFiles';
import { photoName, stateOfPhoto } from './photoFiles';
import { sha256Of } from './sha256Of';
import { inPlainWords, isFull, isNoRight, storageError } from './storageFault';

/** One file of the archive and where its bytes lie now. */
interface Source {
	readonly name: string;
	readonly from: string;
}

/**
 * Put everything on record into one tar archive, while a server works on the data or not: the database as it stands at one
 * moment, every original photo on record, the pictures of their classes and of records, and the signing keys. Previews are left out, since they
 * are made again when asked for, and so is what others put into the directory.
 *
 * The archive is read again and every checksum proved before it gets its name.
 *
 * @returns the archive's own list
 * @throws TrayError `usage` when that file exists, `storage` when the data cannot be read or the archive cannot be written
 * @source archive format: POSIX.1-2001 pax interchange; checksums: FIPS 180-4 SHA-256
 */
export async function backUp(directory: string, file: string): Promise<BackupManifest> {
	if (!existsSync(databasePath(directory))) {
		const hint = 'Name the data directory in DECKSIDE_DATA, or run this in the folder that Deckside is started from.';
		throw new TrayError('usage', `There is no data in ${directory}.`, hint);
	}
	if (existsSync(file)) {
		throw new TrayError('usage', `${file} exists already and was left as it is.`, 'Name another file.');
	}
	let passing: string | undefined;
	try {
		passing = await mkdtemp(`${path.resolve(file)}.part-`);
		const snapshot = path.join(passing, 'deckside.sqlite');
		const { handle, close } = openReadOnly(directory);
		await handle.backup(snapshot, { progress: () => ALL_PAGES }).finally(close);
		const { manifest, sources } = await listFiles(directory, snapshot);
		const archive = path.join(passing, 'backup.tar');
		await writeArchive(archive, manifest, sources);
		await readBackup(archive, async () => {});
		await rename(archive, file);
		return manifest;
	} catch (error) {
		throw ofItsPlace(error, file);
	} finally {
		if (passing !== undefined) await rm(passing, { recursive: true, force: true });
	}
}

/** All that a backup writes goes where its file is to be: a disk that is full, or not to be written on, is that one. */
function ofItsPlace(error: unknown, file: string): unknown {
	const plain = inPlainWords(error);
	if (!(plain instanceof TrayError && (isFull(plain) || isNoRight(plain)))) return plain;
	const why = isFull(plain) ? 'there is no room left' : 'nothing may be written there';
	return new TrayError(
		'storage',
		`No backup was made in ${path.dirname(path.resolve(file))}: ${why}.`,
		'Name a file in another place. What Deckside keeps is as it was.',
		{ cause: error },
	);
}

/** All that is left in one step, so that a busy server can't make the copy start over and over. */
const ALL_PAGES = 0x7fffffff;

async function listFiles(
	directory: string,
	snapshot: string,
): Promise<{ readonly manifest: BackupManifest; readonly sources: readonly Source[] }> {
	const { migrations, photos } = readSnapshot(snapshot);
	const lostPhotos: string[] = [];
	const sources: Source[] = [{ name: 'deckside.sqlite', from: snapshot }];
	for (const sha256 of photos) {
		const name = photoName(sha256);
		const isWhole = (await stateOfPhoto(localFiles(directory), sha256)) === 'whole';
		if (isWhole) sources.push({ name, from: path.join(directory, name) });
		else lostPhotos.push(sha256);
	}
	for (const name of await keptBesideOriginals(localFiles(directory)))
		sources.push({ name, from: path.join(directory, name) });
	const files: BackupManifest['files'] = [];
	for (const { name, from } of sources) {
		const bytes = await readFile(from);
		files.push({ name, sizeBytes: bytes.byteLength, sha256: sha256Of(bytes) });
	}
	const madeAt = new Date().toISOString();
	return { manifest: { deckside: 'backup/1', madeAt, migrations: [...migrations], files, lostPhotos }, sources };
}

/** The copy becomes one file without a log beside it, and is proved whole, before anything is taken from it. */
function readSnapshot(snapshot: string) {
	const handle = new Database(snapshot);
	try {
		handle.pragma('journal_mode = DELETE');
		if (handle.pragma('integrity_check', { simple: true }) !== 'ok') throw storageError('damaged');
		if (migrationsIn(handle).length === 0) throw storageError('damaged');
		const column = (query: string) => handle.prepare(query).pluck().all() as string[]; // text columns asked for
		return {
			migrations: migrationsIn(handle),
			photos: column('select distinct sha256 from photo order by sha256'),
		};
	} finally {
		handle.close();
	}
}

async function writeArchive(archive: string, manifest: BackupManifest, sources: readonly Source[]): Promise<void> {
	const tar = pack();
	const written = pipeline(tar, createWriteStream(archive, { flags: 'wx', mode: 0o600 }));
	const fill = async () => {
		await addEntry(tar, MANIFEST_NAME, Buffer.from(`${JSON.stringify(manifest, null, 1)}\n`));
		for (const { name, from } of sources) await addEntry(tar, name, await readFile(from));
		tar.finalize();
	};
	await Promise.all([written, fill()]);
	const file = await open(archive, 'r+');
	await file.sync();
	await file.close();
}

function addEntry(tar: ReturnType<typeof pack>, name: string, bytes: Buffer): Promise<void> {
	return new Promise((resolve, reject) => {
		tar.entry({ name, size: bytes.byteLength, mode: 0o600 }, bytes, (error) => (error ? reject(error) : resolve()));
	});
}
