import { idOf } from '@/app/_forms/idOf';
import { TrayError } from '@/lib/errors/TrayError';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import { latestPrices } from '@/lib/store/prices';
import { valueBoard } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/**
 * What a run is worth at the prices last entered, with all that a file of it says beside; it waits for the true figures.
 *
 * @throws TrayError `not-found` when the run isn't there or no prices are
 */
export async function askedMoney(runId: string) {
	const { store, pool } = await theStore();
	const kept = await latestPrices(store);
	if (kept === undefined) throw new TrayError('not-found', 'No prices are entered yet.', 'Enter them first.');
	const board = await getBoard(store, idOf(runId));
	const money = await valueBoard(store, pool, board, kept.sheet);
	const warnings = warningsOfFile(board, await workOutBoard(store, pool, board));
	return { run: board.run.name, money, warnings, prices: kept.sheet };
}
