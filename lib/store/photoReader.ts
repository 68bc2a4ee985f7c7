import 'server-only';
import type { AnalysisPool } from './analysisPool';
import type { PhotoJob, PhotoJobs } from './photoJobs';
import { readWaiting } from './readWaiting';
import { isStorageTrouble } from './storageFault';

/** What photos are read with. */
export type ReadingPool = Pick<AnalysisPool, 'size' | 'analysePhoto'>;

/** What reads photos one after the other, as many at a time as there are workers. */
export interface Reader {
	/** Look for waiting photos and start on them; returns at once. */
	wake(): void;
	/** Leave off reading these. */
	abort(ids: readonly string[]): void;
	/** Show signs of life, and leave off what is this program's no longer. */
	holdOn(): Promise<void>;
	/** Take no more, leave off what is under way and put it back into the line. */
	leave(): Promise<void>;
	/** Resolves when nothing waits or runs. */
	settled(): Promise<void>;
}

/** Disk or database in trouble are looked at again after so long, ms: nobody else may give word once it is over. */
export const TRY_AGAIN_MS = 10_000;

/**
 * Start reading the photos that wait.
 *
 * @param halted - hears what keeps photos from being read, in plain words, and when nothing does any more
 */
export async function startReader(
	jobs: PhotoJobs,
	pool: ReadingPool,
	halted: (trouble: string | undefined) => void = () => {},
): Promise<Reader> {
	await jobs.start();
	let [running, leaving] = [0, false];
	let settlers: (() => void)[] = [];
	let tryingAgain: ReturnType<typeof setTimeout> | undefined;
	/** How often there was word of waiting photos. */
	let woken = 0;
	/** By claim. */
	const underWay = new Map<string, { readonly id: string; readonly stop: AbortController }>();
	/** Claims whose outcome could not be written (a full disk, a lock): still `reading` in the database, though nobody reads. */
	const stranded = new Set<string>();

	async function work(): Promise<void> {
		const claims = [...stranded];
		if (claims.length > 0) await jobs.putBack(claims);
		for (const claim of claims) stranded.delete(claim);
		while (!leaving) {
			const wokenBefore = woken;
			const job = await jobs.take();
			if (job !== undefined && leaving) return jobs.putBack([job.claim]);
			if (job !== undefined) {
				await readTaken(job);
				over();
			}
			// what came while this looked may have been missed
			else if (woken === wokenBefore) return over();
		}
	}

	async function readTaken(job: PhotoJob): Promise<void> {
		const stop = new AbortController();
		underWay.set(job.claim, { id: job.id, stop });
		job.store.changes.announce();
		try {
			await readWaiting(jobs, job, pool, stop.signal);
		} catch (error) {
			stranded.add(job.claim);
			throw error;
		} finally {
			underWay.delete(job.claim);
			job.store.changes.announce();
		}
	}

	function wake(): void {
		woken++;
		while (running < pool.size && !leaving) {
			running++;
			work()
				.catch(breakOff)
				.finally(() => {
					running--;
					if (running > 0) return;
					for (const settle of settlers) settle();
					settlers = [];
				});
		}
	}

	function over(): void {
		clearTimeout(tryingAgain);
		tryingAgain = undefined;
		halted(undefined);
	}

	function breakOff(error: unknown): void {
		// trouble that lasts is met at every try
		if (!isStorageTrouble(error) || tryingAgain === undefined) console.error('The queue of photos stopped:', error);
		if (!isStorageTrouble(error) || leaving) return;
		halted(error.message);
		clearTimeout(tryingAgain);
		tryingAgain = setTimeout(wake, TRY_AGAIN_MS).unref();
	}

	const settled = () => (running === 0 ? Promise.resolve() : new Promise<void>((resolve) => settlers.push(resolve)));
	return {
		wake,
		abort: (ids) => {
			for (const { id, stop } of underWay.values()) if (ids.includes(id)) stop.abort();
		},
		holdOn: async () => {
			for (const claim of await jobs.holdOn([...underWay.keys()])) underWay.get(claim)?.stop.abort();
		},
		leave: async () => {
			leaving = true;
			clearTimeout(tryingAgain);
			const left = [...underWay];
			if (left.length > 0) await jobs.putBack(left.map(([claim]) => claim));
			for (const [, { stop }] of left) stop.abort();
			await settled();
		},
		settled,
	};
}
