import { type RerunSource, readRerunForm } from '@/app/_forms/rerunForm';
import { drawSplit } from '@/lib/balance/rerunAssumed';
import { type RerunSplit, splitOfRun } from '@/lib/balance/rerunCircuit';
import { TrayError } from '@/lib/errors/TrayError';
import { rerunCannotSentence } from '@/lib/report/rerunSentences';
import type { DrawnRun } from '@/lib/store/analysis';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { drawBoard } from '@/lib/store/drawnRun';
import { latestPrices } from '@/lib/store/prices';
import { getBoard } from '@/lib/store/workedRun';
import { type RerunAccount, rerunAccountOf } from '@/lib/value/rerunAccount';

/**
 * How a rerun splits: as this run did, as another one did, or as assumed.
 *
 * @returns undefined where the run it is taken from is not weighed and graded far enough
 * @throws TrayError `not-found`, or `usage` when an assumed split can't be
 */
export async function splitFrom(
  store: Store,
  pool: AnalysisPool,
  source: RerunSource,
  drawn: DrawnRun,
): Promise<RerunSplit | undefined> {
  if (source.kind === 'thisRun') return splitOfRun(drawn);
  if (source.kind === 'assumed') return drawSplit(source.split, drawn.account.drawCount, drawn.account.seed);
  return splitOfRun(await drawBoard(store, pool, await getBoard(store, source.runId)));
}

/**
 * What rerunning a run's middlings comes to, as an address asks for it.
 *
 * @throws TrayError `usage` with what is missing or can't be
 */
export async function askedRerun(
  store: Store,
  pool: AnalysisPool,
  runId: string,
  asked: URLSearchParams,
): Promise<RerunAccount> {
  const { source, batchKg, fields } = readRerunForm(Object.fromEntries(asked));
  const problem = fields.problems[0];
  if (problem !== undefined) throw new TrayError('usage', problem.message, 'Mend the address, or use the page.');
  const drawn = await drawBoard(store, pool, await getBoard(store, runId));
  const split = await splitFrom(store, pool, source, drawn);
  const account = split && rerunAccountOf(drawn, split, { sheet: (await latestPrices(store))?.sheet, batchKg });
  if (account !== undefined) return account;
  throw new TrayError(
    'usage',
    rerunCannotSentence(drawn.account, split !== undefined),
    'Weigh and photograph what is missing.',
  );
}
