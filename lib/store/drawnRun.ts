import 'server-only';
import type { DrawnRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { sha256Of } from './sha256Of';
import { orderOf, type RunBoard } from './workedRun';

/** Runs kept in memory with their draws; one takes a few megabytes. */
const MOST_KEPT = 8;

/** On the global object, so that a reload of the code during development does not fill memory twice. */
const holder = globalThis as typeof globalThis & { decksideDrawnRuns?: Map<string, Promise<DrawnRun>> };

/** A run worked out with its draws; kept in memory while nothing it rests on changes. */
export async function drawBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<DrawnRun> {
	const order = await orderOf(store, board);
	const key = sha256Of(JSON.stringify([order, ENGINE_VERSION]));
	holder.decksideDrawnRuns ??= new Map();
	const kept = holder.decksideDrawnRuns;
	const drawn = kept.get(key) ?? pool.drawRun(order);
	// latest used goes last; a failure is not kept
	kept.delete(key);
	kept.set(key, drawn);
	drawn.catch(() => kept.delete(key));
	for (const oldest of kept.keys()) {
		if (kept.size <= MOST_KEPT) break;
		kept.delete(oldest);
	}
	return drawn;
}
