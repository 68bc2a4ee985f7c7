import 'server-only';
import { LatestAsked } from '../quantity/latestAsked';
import type { DrawnRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { sha256Of } from './sha256Of';
import { orderOf, type RunBoard } from './workedRun';

/** Runs kept in memory with their draws; one takes a few megabytes. */
const MOST_KEPT = 8;

/** On the global object, so that a reload of the code during development does not fill memory twice. */
const holder = globalThis as typeof globalThis & { decksideDrawnRuns?: LatestAsked<Promise<DrawnRun>> };

/** A run worked out with its draws; kept in memory while nothing it rests on changes. */
export async function drawBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<DrawnRun> {
	const order = await orderOf(store, board);
	const key = sha256Of(JSON.stringify([order, ENGINE_VERSION]));
	holder.decksideDrawnRuns ??= new LatestAsked(MOST_KEPT);
	const kept = holder.decksideDrawnRuns;
	const drawn = kept.get(key) ?? pool.drawRun(order);
	kept.hold(key, drawn);
	// a failure is not kept
	drawn.catch(() => kept.delete(key));
	return drawn;
}
