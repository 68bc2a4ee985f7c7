import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { askedRerun } from '@/app/_parts/askedRerun';
import { theStore } from '@/lib/store/theStore';

/** What rerunning a run's middlings comes to as JSON. */
export async function GET(
  request: NextRequest,
  context: RouteContext<'/runs/[runId]/rerun/rerun.json'>,
): Promise<Response> {
  try {
    const { store, pool } = await theStore();
    const account = await askedRerun(store, pool, idOf((await context.params).runId), request.nextUrl.searchParams);
    return jsonAnswer('rerun/1', account, 'rerun.json');
  } catch (error) {
    return answerError(error);
  }
}
