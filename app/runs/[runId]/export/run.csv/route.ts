import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { accountCsv } from '@/lib/report/runTables';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** A run's account as a table. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/runs/[runId]/export/run.csv'>) => {
	const { runId } = await context.params;
	const { store, pool } = await theStore();
	const board = await getBoard(store, idOf(runId));
	const worked = await workOutBoard(store, pool, board);
	const account = { ...worked.account, warnings: warningsOfBoard(board, worked) };
	return csvAnswer(accountCsv(account, board.run.settings.firstAfterChange), 'run.csv');
});
