import type { NextRequest } from 'next/server';
import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedRerun } from '@/app/_parts/askedRerun';
import { rerunCsv } from '@/lib/report/tuningTables';

/** What rerunning a run's middlings comes to as a table. */
export const GET = answerErrors(
	async (request: NextRequest, context: RouteContext<'/runs/[runId]/rerun/rerun.csv'>) => {
		const { account, warnings } = await askedRerun((await context.params).runId, request.nextUrl.searchParams);
		return csvAnswer(rerunCsv(account, warnings), 'rerun.csv');
	},
);
