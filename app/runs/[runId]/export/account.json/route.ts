import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { withCarryOver } from '@/lib/report/carryOver';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** What a run came to as JSON: its account, the photos' own grades, checks and locked copper, by product. */
export const GET = answerErrors(
	async (_request: Request, context: RouteContext<'/runs/[runId]/export/account.json'>) => {
		const { runId } = await context.params;
		const { store, pool } = await theStore();
		const board = await getBoard(store, idOf(runId));
		const worked = await workOutBoard(store, pool, board);
		const { account: balance, ...rest } = worked;
		const account = { ...balance, warnings: warningsOfBoard(board, worked) };
		return jsonAnswer('account/1', { ...withCarryOver(account, board.run.settings), ...rest }, 'account.json');
	},
);
