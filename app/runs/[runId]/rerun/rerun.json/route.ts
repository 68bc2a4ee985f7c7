import type { NextRequest } from 'next/server';
import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { askedRerun } from '@/app/_parts/askedRerun';

/** What rerunning a run's middlings comes to as JSON. */
export const GET = answerErrors(
	async (request: NextRequest, context: RouteContext<'/runs/[runId]/rerun/rerun.json'>) => {
		const { run, account, warnings } = await askedRerun((await context.params).runId, request.nextUrl.searchParams);
		return jsonAnswer('rerun/1', { run, ...account, warnings }, 'rerun.json');
	},
);
