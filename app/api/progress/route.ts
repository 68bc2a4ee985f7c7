import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { progressOf } from '@/lib/store/progress';
import { theStore } from '@/lib/store/theStore';

/** How far the reading of photos has come: of one run (`?run=`), or of all. */
export async function GET(request: NextRequest): Promise<Response> {
  try {
    const run = request.nextUrl.searchParams.get('run');
    const { store, pool } = await theStore();
    const progress = await progressOf(store, run === null ? undefined : idOf(run), pool.size);
    return Response.json(progress, { headers: { 'cache-control': 'no-store' } });
  } catch (error) {
    return answerError(error);
  }
}
