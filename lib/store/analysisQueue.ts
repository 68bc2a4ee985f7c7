import 'server-only';
import type { Store } from './database';
import { holdWaiting, releaseStopped } from './heldPhotos';
import { jobsOf } from './photoJobs';
import { type ReadingPool, startReader } from './photoReader';

/** Photos waiting to be read, worked off in the background; what waits is in the database, so a restart goes on with it. */
export interface AnalysisQueue {
	/** Look for waiting photos and start on them; returns at once. */
	wake(): void;
	/** Leave off reading the photos that wait or are under way, of one run or of all; they are kept and held. */
	stop(runId?: string): Promise<void>;
	/** Read what was left off. */
	resume(runId?: string): Promise<void>;
	/** Resolves when nothing waits or runs. */
	settled(): Promise<void>;
}

/** Start the queue of one data directory. Photos that a stop caught half-read wait again. */
export async function startAnalysisQueue(store: Store, pool: ReadingPool): Promise<AnalysisQueue> {
	const reader = await startReader(jobsOf(store), pool, (trouble) => {
		if (store.reading === undefined || store.reading.haltedBy === trouble) return;
		store.reading.haltedBy = trouble;
		store.changes.announce();
	});
	return {
		...queueFor(store, reader.wake),
		stop: async (runId) => {
			reader.abort(await holdWaiting(store, runId));
			store.changes.announce();
		},
		settled: reader.settled,
	};
}

/** The queue of a yard whose photos other programs read: they hear of what waits and of what is to be left off. */
export function queueFor(store: Store, wake = store.changes.announce): AnalysisQueue {
	return {
		wake,
		stop: async (runId) => {
			await holdWaiting(store, runId);
			store.changes.announce();
		},
		resume: async (runId) => {
			await releaseStopped(store, runId);
			wake();
			store.changes.announce();
		},
		settled: async () => {},
	};
}
