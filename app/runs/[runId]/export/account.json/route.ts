import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { withCarryOver } from '@/lib/report/carryOver';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** What a run came to as JSON: its account, the photos' own grades, checks and locked copper, by product. */
export async function GET(
	_request: Request,
	context: RouteContext<'/runs/[runId]/export/account.json'>,
): Promise<Response> {
	try {
		const { runId } = await context.params;
		const { store, pool } = await theStore();
		const board = await getBoard(store, idOf(runId));
		const worked = await workOutBoard(store, pool, board);
		const { account: balance, ...rest } = worked;
		const account = { ...balance, warnings: warningsOfBoard(board, worked) };
		return jsonAnswer('account/1', { ...withCarryOver(account, board.run.settings), ...rest }, 'account.json');
	} catch (error) {
		return answerError(error);
	}
}
