import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { eventStream } from '@/app/_http/eventStream';
import { progressOf } from '@/lib/store/progress';
import { theStore } from '@/lib/store/theStore';

/** How far the reading of photos has come, told at every change: of one run (`?run=`), or of all. */
export async function GET(request: NextRequest): Promise<Response> {
  try {
    const run = request.nextUrl.searchParams.get('run');
    const runId = run === null ? undefined : idOf(run);
    const { store, pool } = await theStore();
    return eventStream(request.signal, store.changes.listen, () => progressOf(store, runId, pool.size));
  } catch (error) {
    return answerError(error);
  }
}
