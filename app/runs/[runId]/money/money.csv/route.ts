import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { TrayError } from '@/lib/errors/TrayError';
import { moneyCsv } from '@/lib/report/moneyTable';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import { latestPrices } from '@/lib/store/prices';
import { valueBoard } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** What a run is worth as a table. */
export async function GET(
	_request: Request,
	context: RouteContext<'/runs/[runId]/money/money.csv'>,
): Promise<Response> {
	try {
		const { runId } = await context.params;
		const { store, pool } = await theStore();
		const kept = await latestPrices(store);
		if (kept === undefined) throw new TrayError('not-found', 'No prices are entered yet.', 'Enter them first.');
		const board = await getBoard(store, idOf(runId));
		const value = await valueBoard(store, pool, board, kept.sheet);
		const warnings = warningsOfFile(board, await workOutBoard(store, pool, board));
		return csvAnswer(moneyCsv(value, kept.sheet, warnings), 'money.csv');
	} catch (error) {
		return answerError(error);
	}
}
