import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { accountCsv } from '@/lib/report/runTables';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** A run's account as a table. */
export async function GET(_request: Request, context: RouteContext<'/runs/[runId]/export/run.csv'>): Promise<Response> {
	try {
		const { runId } = await context.params;
		const { store, pool } = await theStore();
		const board = await getBoard(store, idOf(runId));
		const worked = await workOutBoard(store, pool, board);
		const account = { ...worked.account, warnings: warningsOfBoard(board, worked) };
		return csvAnswer(accountCsv(account, board.run.settings.firstAfterChange), 'run.csv');
	} catch (error) {
		return answerError(error);
	}
}
