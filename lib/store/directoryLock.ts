import 'server-only';
import { truncateSync } from 'node:fs';
import path from 'node:path';
import Database from 'better-sqlite3';
import { TrayError } from '../errors/TrayError';
import { STORAGE_SENTENCES, storageDigest } from '../report/storageSentences';

/** How long a program that is just stopping is waited for, milliseconds. */
const WAIT_MS = 2000;

/**
 * Keep a data directory to one program at a time.
 *
 * The lock is a SQLite file's own, which the operating system takes back when the program ends in whatever way: a kill leaves
 * nothing behind that would have to be removed by hand. It holds within one machine; on a shared drive it is as good as the
 * drive's own file locks.
 *
 * @returns gives the directory free
 * @throws TrayError `storage` when another program has it; the error of the file system when the lock can't be made
 */
export function lockDirectory(directory: string): () => void {
	const file = path.join(directory, 'in-use.sqlite');
	try {
		return lockBy(file, directory);
	} catch (error) {
		// nothing is kept in it, and whoever had it locked would have been met before its content; emptied, not made anew, so that two who do this meet at one file
		if (!(error instanceof Database.SqliteError) || !/^SQLITE_(NOTADB|CORRUPT)/.test(error.code)) throw error;
		truncateSync(file);
		return lockBy(file, directory);
	}
}

function lockBy(file: string, directory: string): () => void {
	const handle = new Database(file, { timeout: WAIT_MS });
	try {
		handle.exec('begin exclusive');
	} catch (cause) {
		handle.close();
		if (!(cause instanceof Database.SqliteError) || !cause.code.startsWith('SQLITE_BUSY')) throw cause;
		const { hint } = STORAGE_SENTENCES['in-use'];
		const message = `Another Deckside is already using the data directory ${directory}.`;
		throw Object.assign(new TrayError('storage', message, hint, { cause }), { digest: storageDigest('in-use') });
	}
	return () => {
		handle.close();
	};
}
