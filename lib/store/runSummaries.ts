import 'server-only';
import type { RunAccount } from '../balance/runAccount';
import type { WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { keptUnder } from './keptResult';
import { listRuns } from './runs';
import type { FiguresOrigin } from './runsAtWork';
import { getBoard, type StatedRun, statedRuns, workOutBoard } from './workedRun';

/** What stands of a run among others: what its concentrates came to, and how likely its balance is. */
export interface RunSummary extends Pick<RunAccount, 'probability'> {
	readonly together: Pick<RunAccount['together'], 'concentrate'>;
}

/** What stands of a run among others. */
export function summaryOf({ account: { together, probability } }: WorkedRun): RunSummary {
	return {
		together: together.concentrate === undefined ? {} : { concentrate: together.concentrate },
		...(probability === undefined ? {} : { probability }),
	};
}

/** Summaries held in memory, at most, of one database: some 1 kB each, where to read a run's whole account takes a millisecond. */
const MOST_HELD = 5000;

/** Accounts read in one go, so that others are answered in between. */
const READ_AT_ONCE = 50;

/** By database and key; what is worked out from one state of a run never changes. */
const held = new WeakMap<Store['db'], Map<string, RunSummary>>();

/** Summaries of figures on record, by their keys. */
export async function keptSummaries(
	store: Store,
	origins: readonly FiguresOrigin[],
): Promise<ReadonlyMap<string, RunSummary>> {
	const own = held.get(store.db) ?? new Map<string, RunSummary>();
	held.set(store.db, own);
	const missing = origins.flatMap(({ key }) => (own.has(key) ? [] : [key]));
	for (let at = 0; at < missing.length; at += READ_AT_ONCE) {
		const read = await keptUnder<WorkedRun>(store, missing.slice(at, at + READ_AT_ONCE));
		for (const [key, worked] of read) own.set(key, summaryOf(worked));
		await new Promise(setImmediate);
	}
	const found = new Map<string, RunSummary>();
	for (const { key } of origins) {
		const summary = own.get(key);
		if (summary !== undefined) found.set(key, summary);
	}
	for (const key of own.keys()) {
		if (own.size <= MOST_HELD) break;
		own.delete(key);
	}
	return found;
}

/** Lots whose runs are held as they stand, those asked for last: a thousand runs are some 4 MB. */
const LOTS_HELD = 2;

/** By database and lot, with the version of the data that they were read from. */
const lots = new WeakMap<Store['db'], Map<string, { readonly at: number; readonly runs: readonly StatedRun[] }>>();

/** All runs of a lot, oldest first: read again only where something changed, since a lot may have a thousand. */
export async function runsOfLot(store: Store, lotId: string): Promise<readonly StatedRun[]> {
	// taken first: what changes while the runs are read makes them old at once
	const at = store.version?.();
	const own = lots.get(store.db) ?? new Map();
	lots.set(store.db, own);
	const there = own.get(lotId);
	const runs =
		there !== undefined && there.at === at
			? there.runs
			: await statedRuns(store, (await listRuns(store, { lotId })).toReversed());
	own.delete(lotId);
	if (at !== undefined) own.set(lotId, { at, runs });
	const [oldest] = own.keys();
	if (own.size > LOTS_HELD) own.delete(oldest);
	return runs;
}

/** What some runs came to, in their order; what is not on record is worked out one after the other. */
export async function summariesOf(
	store: Store,
	pool: AnalysisPool,
	runs: readonly StatedRun[],
): Promise<readonly RunSummary[]> {
	const kept = await keptSummaries(
		store,
		runs.map(({ origin }) => origin),
	);
	const all = [];
	for (const { run, origin } of runs)
		all.push(kept.get(origin.key) ?? summaryOf(await workOutBoard(store, pool, await getBoard(store, run.id))));
	return all;
}
