import 'server-only';
import { TrayError } from '../errors/TrayError';
import { isAccessCode } from './accessCode';
import { type AnalysisPool, startAnalysisPool } from './analysisPool';
import { type AnalysisQueue, queueFor, startAnalysisQueue } from './analysisQueue';
import { yardAsking } from './askingYard';
import { dataDirectory, openStore, type Store } from './database';
import { loadDemoOnFirstStart } from './demo';
import { type DeviceDoor, openDeviceDoor } from './deviceDoor';
import { deviceOf } from './devices';
import { objectPlaceFrom } from './objectPlace';
import { databaseUrl, HOME_YARD, ownYard } from './ownYard';
import { openPostgres, type YardDatabase } from './postgres';
import { practiseLater } from './practice';
import { deadLink } from './recordLinks';
import { enterYard, forgottenAmong, sessionOf, yardOfCode, yardOfLink } from './yards';

/** The open store of the yard that asks, with its workers. */
export interface Running {
	readonly store: Store;
	readonly pool: AnalysisPool;
	readonly queue: AnalysisQueue;
}

/** A database of any number of yards, open in this process. */
interface SharedYards {
	readonly yards: YardDatabase;
	readonly pool: AnalysisPool;
}

/** On the global object, so that a reload of the code during development does not open the database twice. */
const holder = globalThis as typeof globalThis & {
	decksideRunning?: Promise<Running>;
	decksideYards?: Promise<SharedYards>;
};

/**
 * The store that a request is about: the data directory of this process, or the yard of whoever asks. Opened on first use;
 * photos left waiting by a stop are taken up again then.
 *
 * @throws TrayError `storage` when the data cannot be used, and the next call tries again; `not-allowed` when nobody said whose
 * data is asked for: no yard stands in for another
 */
export async function theStore(): Promise<Running> {
	const url = databaseUrl();
	if (url === undefined) return theDirectory();
	const yardId = yardAsking();
	if (yardId === undefined) {
		throw new TrayError('not-allowed', 'It is not known whose data is asked for.', 'Join with the code of your yard.');
	}
	return runningOf(await sharedYards(url), yardId);
}

/** Open the data without asking for anything in it. @throws TrayError `storage` */
export async function openData(): Promise<void> {
	const url = databaseUrl();
	await (url === undefined ? theDirectory() : sharedYards(url));
}

/** The store that a link to a record leads to, whoever asks, with its workers. @throws TrayError `not-found` */
export async function behindLink(token: string): Promise<Running> {
	const url = databaseUrl();
	if (url === undefined) return theDirectory();
	const shared = await sharedYards(url);
	const yardId = await yardOfLink(shared.yards, token);
	return yardId === undefined ? deadLink() : runningOf(shared, yardId);
}

/** The store that a code lets a device join, and as what; undefined for a wrong code. */
export async function storeOfCode(
	code: string,
): Promise<{ readonly store: Store; readonly isOffice: boolean } | undefined> {
	const url = databaseUrl();
	const own = ownYard();
	const isOwn = own !== undefined && isAccessCode(code);
	if (url === undefined) return isOwn ? { store: (await theDirectory()).store, isOffice: false } : undefined;
	const { yards } = await sharedYards(url);
	if (isOwn) return { store: yards.storeOf(own), isOffice: false };
	const found = await yardOfCode(yards, code);
	return found && { store: yards.storeOf(found.yardId), isOffice: found.isOffice };
}

function theDirectory(): Promise<Running> {
	holder.decksideRunning ??= startLocal().catch((error) => {
		delete holder.decksideRunning;
		throw error;
	});
	return holder.decksideRunning;
}

function sharedYards(url: string): Promise<SharedYards> {
	holder.decksideYards ??= startShared(url).catch((error) => {
		delete holder.decksideYards;
		throw error;
	});
	return holder.decksideYards;
}

function runningOf({ yards, pool }: SharedYards, yardId: string): Running {
	const store = yards.storeOf(yardId);
	return { store, pool, queue: queueFor(store) };
}

/** One program, one data directory: it also reads the photos. */
async function startLocal(): Promise<Running> {
	if (objectPlaceFrom(process.env) !== undefined) {
		const hint = 'Name a database in DATABASE_URL, or leave DECKSIDE_OBJECTS_URL away.';
		throw new TrayError('usage', 'A data directory keeps photos itself: a store of photos needs a database.', hint);
	}
	const store = await openStore(dataDirectory());
	const pool = startAnalysisPool();
	try {
		const queue = await startAnalysisQueue(store, pool);
		await loadDemoOnFirstStart(store);
		openDeviceDoor(async (token) => {
			const device = await deviceOf(store, token);
			return device && { deviceId: device.id, yardId: HOME_YARD, isOffice: false };
		});
		queue.wake();
		practiseLater(pool);
		return { store, pool, queue };
	} catch (error) {
		// kept open, it would be in use when it is tried again
		await pool.close();
		await store.close();
		throw error;
	}
}

/** One of any number of programs on a PostgreSQL database: it keeps nothing of its own, and leaves photos to workers. */
async function startShared(url: string): Promise<SharedYards> {
	const own = ownYard();
	const yards = await openPostgres(url);
	if (own !== undefined) await enterYard(yards, own);
	const door = openDeviceDoor((token) => sessionOf(yards, token));
	yards.listen(cutOffForgotten(yards, door));
	return { yards, pool: startAnalysisPool(0) };
}

/** A device may be forgotten at another instance: what is under way to it here ends too. Looks once for all word that comes meanwhile. */
function cutOffForgotten(yards: YardDatabase, door: DeviceDoor): () => void {
	let [looking, again] = [false, false];
	const look = async () => {
		do {
			again = false;
			for (const id of await forgottenAmong(yards, door.held())) door.letGo(id);
		} while (again);
	};
	return () => {
		again = true;
		if (looking) return;
		looking = true;
		look()
			.catch((error: unknown) => console.error('Forgotten devices could not be looked up:', error))
			.finally(() => {
				looking = false;
			});
	};
}
