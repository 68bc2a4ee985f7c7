import 'server-only';
import PgBoss from 'pg-boss';
import { TrayError } from '../errors/TrayError';
import { storageError } from './storageFault';

/** What the package that keeps the line of photos speaks to the database through. */
export type Speaker = PgBoss.Db;

/** The line as the package keeps it, in a schema of its own. */
export type PhotoLine = PgBoss;

/** A photo's place in the line, as it is handed out. */
export type Turn = PgBoss.JobWithMetadata<unknown>;

/** The one line that photos of all yards stand in. */
const LINE = 'photos';

/** A photo that this many programs did not survive is not given to another. Chosen by eye. */
const MOST_TRIES = 3;

const HOUR_S = 3600;

/**
 * A photo stands in line once (`short`) and is given out anew twice, at once. What nobody ends or gives back within an hour, which
 * no reading takes, is given out anew as well; what waits is kept for ten years: a yard may be left alone for long.
 */
const RULES = {
	policy: 'short',
	retryLimit: MOST_TRIES - 1,
	retryDelay: 0,
	expireInSeconds: HOUR_S,
	retentionMinutes: 10 * 365 * 24 * 60,
} as const;

/** What is over is cleared away by whichever worker comes to it; nobody looks at it but who asks what happened. Chosen by eye. */
const CLEARED = { archiveCompletedAfterSeconds: HOUR_S, deleteAfterHours: 24 };

/**
 * Bring the package's own tables up to date and make the line. Of several programs that start at once one does it and the others wait.
 *
 * @throws TrayError `storage` when they cannot be brought up to date, or a newer version of the package made them
 */
export async function prepareLine(db: Speaker): Promise<void> {
	const quiet = { db, supervise: false, schedule: false };
	const line = await new PgBoss(quiet).start();
	if ((await line.getQueue(LINE)) === null) await line.createQueue(LINE, { name: LINE, ...RULES });
	// started without leave to change its tables, it looks whether they are of its own version
	await new PgBoss({ ...quiet, migrate: false }).start().catch((error: unknown) => {
		throw error instanceof TrayError ? error : storageError('newer', error);
	});
}

/** The line of a database. It does nothing by itself until it is started: then it clears away what is over, now and then. */
export function lineThrough(db: Speaker): PhotoLine {
	const line = new PgBoss({ db, migrate: false, schedule: false, ...CLEARED });
	// trouble while it clears away is met by whoever asks next too, and told there
	line.on('error', (error) => console.error('The line of photos could not be cleared:', error.message));
	return line;
}

/** Take whose turn it is; undefined when nobody waits. A fault of the server is thrown: the package itself keeps it back here. */
export async function nextTurn(line: PhotoLine, db: Speaker): Promise<Turn | undefined> {
	let fault: unknown;
	const heard: Speaker = {
		executeSql: (text, values) =>
			db.executeSql(text, values).catch((error: unknown) => {
				fault = error;
				throw error;
			}),
	};
	const [turn] = await line.fetch(LINE, { db: heard, includeMetadata: true, ignoreStartAfter: true });
	if (fault !== undefined) throw fault;
	return turn;
}

/** A turn is over, whatever came of it. */
export async function endTurn(line: PhotoLine, db: Speaker, id: string): Promise<void> {
	await line.complete(LINE, id, {}, { db });
}

/** How often a turn was given out before; undefined where it is not under way. */
export async function triesOf(line: PhotoLine, db: Speaker, id: string): Promise<number | undefined> {
	const turn = await line.getJobById(LINE, id, { db, includeArchive: false });
	return turn?.state === 'active' ? turn.retryCount : undefined;
}

/**
 * Whoever had this turn is gone: it goes back to its place in the line.
 *
 * @returns `failed` where it was given out too often and is not given out again, undefined where there is no such turn any more
 */
export async function giveBack(line: PhotoLine, db: Speaker, id: string): Promise<'waits' | 'failed' | undefined> {
	await line.fail(LINE, id, {}, { db });
	const turn = await line.getJobById(LINE, id, { db, includeArchive: false });
	if (turn?.state === 'failed') return 'failed';
	return turn?.state === 'retry' ? 'waits' : undefined;
}
