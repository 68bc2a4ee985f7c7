import { TrayError } from '../errors/TrayError';
import { STORAGE_SENTENCES, type StorageTrouble, storageDigest } from '../report/storageSentences';

/**
 * Codes of the operating system, of SQLite and of PostgreSQL, by what they mean to the person at the table. SQLite's codes also come with an
 * ending (`SQLITE_READONLY_DIRECTORY`, `SQLITE_IOERR_WRITE`).
 *
 * @source errno(3) of POSIX.1-2017; the result codes of sqlite.org/rescode.html; PostgreSQL 17 documentation, appendix A, SQLSTATE
 */
const TROUBLE_OF: readonly (readonly [RegExp, StorageTrouble])[] = [
	[/^(ENOSPC|EDQUOT|EFBIG|SQLITE_FULL|53100$)/, 'full'],
	[/^(EROFS|EACCES|EPERM|SQLITE_READONLY|SQLITE_PERM|SQLITE_AUTH|25006$|42501$)/, 'read-only'],
	[/^(SQLITE_BUSY|SQLITE_LOCKED|SQLITE_PROTOCOL|55P03$|40P01$|40001$)/, 'locked'],
	[/^(SQLITE_CORRUPT|SQLITE_NOTADB|SQLITE_FORMAT|XX00[12]$)/, 'damaged'],
	[/^(ECONN|EPIPE|ETIMEDOUT|EHOSTUNREACH|ENOTFOUND|EAI_|08...$|57P0.$|53[23]00$|28...$|3D000$)/, 'away'],
	[/^(EIO|ENOENT|ENOTDIR|EEXIST|EMFILE|ENFILE|SQLITE_CANTOPEN|SQLITE_IOERR)/, 'unreachable'],
];

/**
 * What the package that speaks to PostgreSQL says in words alone where the line breaks or is never made.
 *
 * @source pg 8 and pg-pool 3: client.js and index.js
 */
const LINE_BROKE =
	/^(Connection terminated|timeout (exceeded when trying to connect|expired)|Client has encountered a connection error)/;

/** An error that says what is wrong with the data directory; pages know it by its mark. */
export function storageError(trouble: StorageTrouble, cause?: unknown): TrayError {
	const { message, hint } = STORAGE_SENTENCES[trouble];
	return Object.assign(new TrayError('storage', message, hint, { cause }), { digest: storageDigest(trouble) });
}

/**
 * The same error in plain words where it tells of trouble with the disk or the database; any other error as it came.
 *
 * A statement that breaks a rule of the tables (a foreign key, a check) is a mistake of the program and goes through.
 */
export function inPlainWords(error: unknown): unknown {
	if (error instanceof TrayError || !(error instanceof Error)) return error;
	if (LINE_BROKE.test(error.message)) return storageError('away', error);
	if (!('code' in error)) return error;
	const found = TROUBLE_OF.find(([codes]) => codes.test(String(error.code)));
	return found === undefined ? error : storageError(found[1], error);
}

/** True when the system says that this user may not write there. */
export function isNoRight(error: unknown): boolean {
	const plain = inPlainWords(error);
	return plain instanceof Error && 'digest' in plain && plain.digest === storageDigest('read-only');
}

/** True where a disk has no room left. */
export function isFull(error: unknown): boolean {
	return error instanceof Error && 'digest' in error && error.digest === storageDigest('full');
}

/** True when the data could not be written or read just now: trying again later can help. */
export function isStorageTrouble(error: unknown): error is TrayError {
	return error instanceof TrayError && error.code === 'storage';
}

/** True when an original is gone or altered, so that only sending it again helps. */
export function isPhotoLost(error: unknown): boolean {
	const lost: readonly StorageTrouble[] = ['photo-missing', 'photo-altered'];
	return error instanceof Error && 'digest' in error && lost.some((trouble) => error.digest === storageDigest(trouble));
}

/** True when the database server or the store of photos could not be reached, or let nobody in. */
export function isAway(error: unknown): boolean {
	const away: readonly StorageTrouble[] = ['away', 'files-away', 'files-barred'];
	return error instanceof Error && 'digest' in error && away.some((trouble) => error.digest === storageDigest(trouble));
}

/** True for trouble of the place where everything is kept, which ends without anything being wrong with what was read or written. */
export function isPassing(error: unknown): boolean {
	const passing: readonly StorageTrouble[] = ['full', 'read-only', 'locked'];
	return (
		error instanceof Error && 'digest' in error && passing.some((trouble) => error.digest === storageDigest(trouble))
	);
}

/**
 * Keep what can be made again; a full or read-only disk costs only the time to make it again, so it is noted and gone on.
 *
 * @returns whether it is kept
 */
export async function keepIfPossible(keeping: Promise<unknown>): Promise<boolean> {
	try {
		await keeping;
		return true;
	} catch (error) {
		if (!isStorageTrouble(error)) throw error;
		console.error(error);
		return false;
	}
}
