import { type Progress, progressOf } from '@/lib/store/progress';
import type { Running } from '@/lib/store/theStore';
import { getBoard, type RunBoard } from '@/lib/store/workedRun';
import { findOr404 } from './findOr404';

/**
 * A run that an address names, with how far the reading of its photos has come. That is counted first: what changes while the rest is looked
 * up is then a change that the page hears of.
 */
export async function findBoard(
	{ store, pool }: Running,
	runId: string,
): Promise<{ readonly board: RunBoard; readonly progress: Progress }> {
	return findOr404(runId, async (id) => {
		const progress = await progressOf(store, id, pool.size);
		return { progress, board: await getBoard(store, id) };
	});
}
