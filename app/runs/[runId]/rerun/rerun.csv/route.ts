import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedRerun } from '@/app/_parts/askedRerun';
import { rerunCsv } from '@/lib/report/tuningTables';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

/** What rerunning a run's middlings comes to as a table. */
export async function GET(
	request: NextRequest,
	context: RouteContext<'/runs/[runId]/rerun/rerun.csv'>,
): Promise<Response> {
	try {
		const { store, pool } = await theStore();
		const board = await getBoard(store, idOf((await context.params).runId));
		const account = await askedRerun(store, pool, board, request.nextUrl.searchParams);
		const warnings = warningsOfFile(board, await workOutBoard(store, pool, board));
		return csvAnswer(rerunCsv(account, warnings), 'rerun.csv');
	} catch (error) {
		return answerError(error);
	}
}
