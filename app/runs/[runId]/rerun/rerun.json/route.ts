import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { askedRerun } from '@/app/_parts/askedRerun';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** What rerunning a run's middlings comes to as JSON. */
export async function GET(
	request: NextRequest,
	context: RouteContext<'/runs/[runId]/rerun/rerun.json'>,
): Promise<Response> {
	try {
		const { store, pool } = await theStore();
		const board = await getBoard(store, idOf((await context.params).runId));
		const account = await askedRerun(store, pool, board, request.nextUrl.searchParams);
		const warnings = warningsOfFile(board, await workOutBoard(store, pool, board));
		return jsonAnswer('rerun/1', { run: board.run.name, ...account, warnings }, 'rerun.json');
	} catch (error) {
		return answerError(error);
	}
}
