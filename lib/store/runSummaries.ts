import 'server-only';
import type { RunAccount } from '../balance/runAccount';
import type { WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { keptUnder } from './keptResult';
import { RUNS_AT_ONCE, type StatedRun, statedRuns } from './runOrigin';
import { listChanges, listRuns } from './runs';
import type { FiguresOrigin } from './runsAtWork';
import { SharedInputs } from './sharedInputs';
import { getBoard, workOutBoard } from './workedRun';

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

/** A lot's runs as they stood. */
interface HeldLot {
	/** The version of the data that they were read from, where the database tells one. */
	readonly at: number | undefined;
	/** Each run with the mark of what it rested on, oldest first. */
	readonly runs: ReadonlyMap<string, { readonly mark: string; readonly stated: StatedRun }>;
}

/** By database and lot. */
const lots = new WeakMap<Store['db'], Map<string, HeldLot>>();

/** All runs of a lot, oldest first. A lot may have a thousand, so those alone are read again that have changed. */
export async function runsOfLot(store: Store, lotId: string): Promise<readonly StatedRun[]> {
	const own = lots.get(store.db) ?? new Map<string, HeldLot>();
	lots.set(store.db, own);
	// taken first: what changes while the runs are read makes them old at once
	const at = store.version?.();
	const there = own.get(lotId);
	const isSame = there !== undefined && at !== undefined && there.at === at;
	const lot = isSame ? there : { at, runs: await readChanged(store, lotId, there?.runs ?? new Map()) };
	own.delete(lotId);
	own.set(lotId, lot);
	const [oldest] = own.keys();
	if (own.size > LOTS_HELD && oldest !== undefined) own.delete(oldest);
	return [...lot.runs.values()].map(({ stated }) => stated);
}

async function readChanged(store: Store, lotId: string, there: HeldLot['runs']): Promise<HeldLot['runs']> {
	const shared = new SharedInputs(store);
	const marks = new Map<string, string>();
	for (const { id, changes, ...run } of (await listChanges(store, lotId)).toReversed())
		marks.set(id, `${changes} ${(await shared.of(run)).mark}`);
	const old = [...marks].flatMap(([id, mark]) => (there.get(id)?.mark === mark ? [] : [id]));
	const anew = new Map<string, StatedRun>();
	for (let at = 0; at < old.length; at += RUNS_AT_ONCE) {
		const some = await listRuns(store, { ids: old.slice(at, at + RUNS_AT_ONCE) });
		for (const stated of await statedRuns(store, some, shared)) anew.set(stated.run.id, stated);
	}
	return new Map(
		[...marks].flatMap(([id, mark]) => {
			const same = there.get(id);
			const stated = same?.mark === mark ? same.stated : anew.get(id);
			return stated === undefined ? [] : [[id, { mark, stated }] as const];
		}),
	);
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
