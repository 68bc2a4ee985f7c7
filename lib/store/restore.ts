import 'server-only';
import { existsSync, mkdirSync } from 'node:fs';
import { mkdtemp, open, readdir, rename, rm } from 'node:fs/promises';
import path from 'node:path';
import Database from 'better-sqlite3';
import { TrayError } from '../errors/TrayError';
import { type BackupManifest, readBackup } from './backupFile';
import { databasePath, refuseUnknown } from './database';
import { lockDirectory } from './directoryLock';
import { endRestore, isEmpty, wholePlace } from './endRestore';
import { syncFolder } from './localFiles';
import { inPlainWords, storageError } from './storageFault';

/** What was brought back, and where the data lies that was there before. */
export interface Restored {
	readonly manifest: BackupManifest;
	readonly earlierData?: string;
}

/**
 * Bring a backup back into a data directory: first beside it, every checksum proved, then moved into its place. Cut off at any moment, it
 * leaves what was there before, or what the next start makes the data directory of (`endRestore`).
 *
 * @param replace - whether a directory that holds data may be set aside; it is renamed, never deleted
 * @throws TrayError `usage` when the directory holds data and may not be replaced, `file-unreadable` when the backup is not
 *   whole, `storage` when a server uses the directory, the disk is full or the backup is of a newer version. Nothing is changed then.
 */
export async function restore(file: string, directory: string, replace = false): Promise<Restored> {
	const target = path.resolve(directory);
	endRestore(target);
	const holdsData = existsSync(target) && !isEmpty(target);
	if (holdsData && !replace) {
		throw new TrayError(
			'usage',
			`${target} already holds something and was left as it is.`,
			'Name an empty folder in DECKSIDE_DATA, or add --replace: what is there is then kept beside it under another name.',
		);
	}
	let release = () => {};
	let passing: string | undefined;
	try {
		if (holdsData) {
			release = lockDirectory(target);
			await removeCutOff(target);
		}
		mkdirSync(path.dirname(target), { recursive: true });
		passing = await mkdtemp(`${target}.restoring-`);
		const manifest = await unpack(file, passing);
		// one that was cut off before anything was moved: what it was to take the place of is still there
		await rm(wholePlace(target), { recursive: true, force: true });
		// the name says that all of it is there: from here on the next start can end the move
		await rename(passing, wholePlace(target));
		passing = undefined;
		await syncFolder(path.dirname(target));
		const earlierData = holdsData ? await setAside(target) : undefined;
		endRestore(target);
		await syncFolder(path.dirname(target));
		return { manifest, ...(earlierData === undefined ? {} : { earlierData }) };
	} catch (error) {
		throw inPlainWords(error);
	} finally {
		release();
		if (passing !== undefined) await rm(passing, { recursive: true, force: true });
	}
}

/** What restores that were cut off had laid beside a directory so far; whoever has the directory's lock is alone with it. */
async function removeCutOff(target: string): Promise<void> {
	const beside = path.dirname(target);
	for (const name of await readdir(beside)) {
		if (!name.startsWith(`${path.basename(target)}.restoring-`)) continue;
		await rm(path.join(beside, name), { recursive: true, force: true });
	}
}

async function unpack(file: string, passing: string): Promise<BackupManifest> {
	for (const folder of ['photos', 'incoming', 'maps', 'previews']) mkdirSync(path.join(passing, folder));
	const manifest = await readBackup(
		file,
		(name, bytes) => writeFile(path.join(passing, name), bytes),
		({ migrations }) => refuseUnknown(migrations),
	);
	const handle = new Database(databasePath(passing));
	const sound = handle.pragma('integrity_check', { simple: true }) === 'ok';
	handle.close();
	if (!sound) throw storageError('damaged');
	return manifest;
}

async function writeFile(name: string, bytes: Uint8Array): Promise<void> {
	// as narrow as the narrowest folder of a data directory, which holds a private key
	mkdirSync(path.dirname(name), { recursive: true, mode: 0o700 });
	const file = await open(name, 'wx', 0o600);
	try {
		await file.writeFile(bytes);
		await file.sync();
	} finally {
		await file.close();
	}
}

async function setAside(target: string): Promise<string> {
	const stamp = new Date()
		.toISOString()
		.replaceAll(/[^0-9]/g, '')
		.slice(0, 14);
	for (let number = 1; ; number++) {
		const aside = `${target}.before-${stamp}${number === 1 ? '' : `-${number}`}`;
		if (existsSync(aside)) continue;
		await rename(target, aside);
		return aside;
	}
}
