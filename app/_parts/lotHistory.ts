import { OUTCOMES, type Outcome, settledRunOf } from '@/app/_forms/settledRun';
import { type HistoryLine, historyLineOf } from '@/lib/balance/runHistory';
import { type SettingEffects, settingEffectsOf } from '@/lib/balance/settingEffects';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { listRuns } from '@/lib/store/runs';
import { workOutRuns } from '@/lib/store/workedRun';

/** A lot's runs worked out, oldest first. */
async function workedRuns(store: Store, pool: AnalysisPool, lotId: string) {
  const runs = (await listRuns(store, { lotId })).toReversed();
  const worked = await workOutRuns(store, pool, runs);
  return runs.map((run, k) => ({ run, account: worked[k]!.account }));
}

/** What the concentrates of a lot's runs came to, oldest first. */
export async function lotHistory(
  store: Store,
  pool: AnalysisPool,
  lotId: string,
): Promise<readonly (HistoryLine & { readonly id: string })[]> {
  return (await workedRuns(store, pool, lotId)).map(({ run, account }) => ({
    id: run.id,
    ...historyLineOf(account, {
      name: run.name,
      date: run.runDate,
      firstAfterChange: run.settings.firstAfterChange,
    }),
  }));
}

/** What settings did over a lot's runs, by outcome, and how many runs have none yet. */
export async function lotEffects(
  store: Store,
  pool: AnalysisPool,
  lotId: string,
): Promise<Readonly<Record<Outcome, { readonly effects: SettingEffects; readonly leftOut: number }>>> {
  const worked = await workedRuns(store, pool, lotId);
  return Object.fromEntries(
    OUTCOMES.map((outcome) => {
      const settled = worked.flatMap(
        ({ run, account }) => settledRunOf(run.name, run.settings, account, outcome) ?? [],
      );
      return [outcome, { effects: settingEffectsOf(settled), leftOut: worked.length - settled.length }];
    }),
  ) as Record<Outcome, { effects: SettingEffects; leftOut: number }>; // every outcome is listed
}
