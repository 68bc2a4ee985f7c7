import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedRerun } from '@/app/_parts/askedRerun';
import { rerunCsv } from '@/lib/report/tuningTables';
import { theStore } from '@/lib/store/theStore';

/** What rerunning a run's middlings comes to as a table. */
export async function GET(
  request: NextRequest,
  context: RouteContext<'/runs/[runId]/rerun/rerun.csv'>,
): Promise<Response> {
  try {
    const { store, pool } = await theStore();
    const account = await askedRerun(store, pool, idOf((await context.params).runId), request.nextUrl.searchParams);
    return csvAnswer(rerunCsv(account), 'rerun.csv');
  } catch (error) {
    return answerError(error);
  }
}
