import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { exportRun } from '@/lib/store/exportRun';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

/** The run as a file for the command line. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/runs/[runId]/run.json'>) => {
	const { runId } = await context.params;
	const { store } = await theStore();
	const file = await exportRun(store, await getBoard(store, idOf(runId)));
	return new Response(`${JSON.stringify(file, null, 2)}\n`, {
		headers: {
			'content-type': 'application/json',
			'content-disposition': 'attachment; filename="run.json"',
			'cache-control': 'no-store',
		},
	});
});
