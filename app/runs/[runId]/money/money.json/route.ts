import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { TrayError } from '@/lib/errors/TrayError';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import { latestPrices } from '@/lib/store/prices';
import { valueBoard } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** What a run is worth as JSON, of the form of the command line's `money`, with the prices it rests on. */
export async function GET(
	_request: Request,
	context: RouteContext<'/runs/[runId]/money/money.json'>,
): Promise<Response> {
	try {
		const { runId } = await context.params;
		const { store, pool } = await theStore();
		const kept = await latestPrices(store);
		if (kept === undefined) throw new TrayError('not-found', 'No prices are entered yet.', 'Enter them first.');
		const board = await getBoard(store, idOf(runId));
		const money = await valueBoard(store, pool, board, kept.sheet);
		const warnings = warningsOfFile(board, await workOutBoard(store, pool, board));
		return jsonAnswer('money/1', { run: board.run.name, money, warnings, prices: kept.sheet }, 'money.json');
	} catch (error) {
		return answerError(error);
	}
}
