import 'server-only';
import type { RunAccount } from '../balance/runAccount';
import { LatestAsked } from '../quantity/latestAsked';
import type { WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { keptUnder } from './keptResult';
import { perDatabase } from './perDatabase';
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

/** By key; what is worked out from one state of a run never changes. */
const summariesHeld = perDatabase(() => new LatestAsked<RunSummary>(MOST_HELD));

/** Summaries of figures on record, by their keys. */
export async function keptSummaries(
	store: Store,
	origins: readonly FiguresOrigin[],
): Promise<ReadonlyMap<string, RunSummary>> {
	const own = summariesHeld(store);
	const found = new Map<string, RunSummary>();
	const missing: string[] = [];
	for (const { key } of origins) {
		const summary = own.get(key);
		if (summary === undefined) missing.push(key);
		else found.set(key, summary);
	}
	for (let at = 0; at < missing.length; at += READ_AT_ONCE) {
		const read = await keptUnder<WorkedRun>(store, missing.slice(at, at + READ_AT_ONCE));
		for (const [key, worked] of read) {
			const summary = summaryOf(worked);
			own.hold(key, summary);
			found.set(key, summary);
		}
		await new Promise(setImmediate);
	}
	return found;
}

/** Runs held as they stood, those asked for last: one is some 4 kB. */
const MOST_RUNS_HELD = 3000;

/** A run with the mark of what it rested on. */
interface HeldRun {
	readonly mark: string;
	readonly stated: StatedRun;
}

const runsHeld = perDatabase(() => new LatestAsked<HeldRun>(MOST_RUNS_HELD));

/**
 * Some runs in the order of `listRuns`, with what their figures rest on. Those alone are looked up that have changed since they were asked for last.
 *
 * @param wanted - a lot may have a thousand
 */
export async function runsAsTheyStand(
	store: Store,
	wanted: { readonly lotId: string } | { readonly ids: readonly string[] },
): Promise<readonly StatedRun[]> {
	const own = runsHeld(store);
	const shared = new SharedInputs(store);
	const marks = new Map<string, string>();
	for (const { id, changes, ...run } of await listChanges(store, wanted))
		marks.set(id, `${changes} ${(await shared.of(run)).mark}`);
	const there = [...marks].map(([id, mark]) => {
		const one = own.get(id);
		return [id, one?.mark === mark ? one.stated : undefined] as const;
	});
	const old = there.flatMap(([id, stated]) => (stated === undefined ? [id] : []));
	const anew = new Map<string, StatedRun>();
	for (let at = 0; at < old.length; at += RUNS_AT_ONCE) {
		const some = await listRuns(store, { ids: old.slice(at, at + RUNS_AT_ONCE) });
		for (const stated of await statedRuns(store, some, shared)) anew.set(stated.run.id, stated);
	}
	const found = there.flatMap(([id, held]) => {
		const stated = held ?? anew.get(id);
		return stated === undefined ? [] : [stated];
	});
	for (const stated of found) own.hold(stated.run.id, { mark: marks.get(stated.run.id) ?? '', stated });
	return found;
}

/** Lots of which it is held that nothing has changed, those asked for last. */
const LOTS_HELD = 2;

/** By lot, its runs as they stood at a version of the data, where the database tells one. */
const lotsHeld = perDatabase(
	() => new LatestAsked<{ readonly at: number; readonly runs: readonly StatedRun[] }>(LOTS_HELD),
);

/** All runs of a lot, oldest first, held as long as the data is as it was. */
export async function runsOfLot(store: Store, lotId: string): Promise<readonly StatedRun[]> {
	const own = lotsHeld(store);
	// taken first: what changes while the runs are read makes them old at once
	const at = store.version?.();
	const there = own.get(lotId);
	if (there !== undefined && there.at === at) return there.runs;
	const runs = (await runsAsTheyStand(store, { lotId })).toReversed();
	if (at === undefined) return runs;
	own.hold(lotId, { at, runs });
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
