import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { repeatedRuns, settingRowsOf } from '@/app/_forms/settingRows';
import { answerError } from '@/app/_http/answerError';
import { comparableRuns } from '@/app/_parts/comparableRuns';
import { repeatsOf } from '@/lib/balance/compareRepeats';
import { compareRuns } from '@/lib/balance/compareRuns';
import { TrayError } from '@/lib/errors/TrayError';
import { comparisonSentences } from '@/lib/report/compareSentences';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

/** A comparison as JSON, of the same form as the command line's but for the photos. */
export async function GET(request: NextRequest): Promise<Response> {
  try {
    const ids = [...new Set(request.nextUrl.searchParams.getAll('run').map(idOf))].slice(0, 6);
    if (ids.length < 2) throw new TrayError('usage', 'Two runs are needed.', 'Pick two runs to compare.');
    const { store, pool } = await theStore();
    const boards = await Promise.all(ids.map((id) => getBoard(store, id)));
    const runs = await comparableRuns(store, pool, boards);
    const settings = boards.map(({ run }) => run.settings);
    const repeats = repeatsOf(repeatedRuns(runs, settings));
    const document = {
      deckside: 'comparison/1',
      runs: runs.map(({ name, account }) => ({ ...account, name })),
      settings: settingRowsOf(settings),
      ...(repeats === undefined ? {} : { repeats }),
      comparisons: compareRuns(runs).map((one) => ({ ...one, sentences: comparisonSentences(one) })),
    };
    return new Response(`${JSON.stringify(document, null, 2)}\n`, {
      headers: {
        'content-type': 'application/json',
        'content-disposition': 'attachment; filename="compare.json"',
        'cache-control': 'no-store',
      },
    });
  } catch (error) {
    return answerError(error);
  }
}
