import type { Metadata } from 'next';
import Link from 'next/link';
import { readPlanForm } from '@/app/_forms/planForm';
import { OUTCOMES, type Outcome, settledRunOf } from '@/app/_forms/settledRun';
import { EffectsTable } from '@/app/_parts/EffectsTable';
import { findOr404 } from '@/app/_parts/findOr404';
import { PlanForm, PlanTable } from '@/app/_parts/PlanOfRuns';
import { PrintButton } from '@/app/_parts/PrintButton';
import { Trail } from '@/app/_parts/Trail';
import { settingEffectsOf } from '@/lib/balance/settingEffects';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { getLot } from '@/lib/store/lots';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'What did a setting do?' };

const OUTCOME_NAMES: Readonly<Record<Outcome, string>> = { recovery: 'Copper recovery', grade: 'Copper grade' };

/** Effects of settings over a lot's runs, and a plan for the next runs. */
export default async function SettingsPage({ searchParams }: PageProps<'/compare/settings'>) {
  const typed = Object.fromEntries(
    Object.entries(await searchParams).flatMap(([name, value]) => (typeof value === 'string' ? [[name, value]] : [])),
  );
  const { store, pool } = await theStore();
  const lot = await findOr404(typed.lot ?? '', (id) => getLot(store, id));
  const outcome = OUTCOMES.find((one) => one === typed.of) ?? 'recovery';
  const runs = await listRuns(store, { lotId: lot.id });
  const worked = [];
  for (const run of runs) {
    const { account } = await workOutBoard(store, pool, await getBoard(store, run.id));
    worked.push(settledRunOf(run.name, run.settings, account, outcome));
  }
  const settled = worked.filter((run) => run !== undefined);
  const { plan, fields } = readPlanForm(typed);
  return (
    <>
      <Trail steps={[{ href: `/lots/${lot.id}`, label: `Lot ${lot.name}` }]} />
      <h1>What did a setting do?</h1>
      <nav aria-label="What is looked at" className="actions">
        {OUTCOMES.map((one) => (
          <Link
            key={one}
            className="choice-button"
            href={`/compare/settings?lot=${lot.id}&of=${one}`}
            {...(one === outcome ? { 'aria-current': 'page' as const } : {})}
          >
            {OUTCOME_NAMES[one]}
          </Link>
        ))}
      </nav>
      <section>
        <h2>{OUTCOME_NAMES[outcome]} of the concentrates over the runs of this lot</h2>
        {settled.length < runs.length ? (
          <p>
            {runs.length - settled.length} of {runs.length} runs have no {outcome} yet and are left out.
          </p>
        ) : null}
        <EffectsTable effects={settingEffectsOf(settled)} outcome={OUTCOME_NAMES[outcome]} />
      </section>
      <section>
        <h2>Plan the next runs</h2>
        <p className="narrow">
          Name two levels for each setting that is to be tried; leave the others empty. Every combination is run once,
          in a shuffled order, so that a drift of the feed does not look like an effect. Run all of them from one lot.
        </p>
        <PlanForm lotId={lot.id} typed={typed} problems={fields.problems} />
        {plan === undefined ? null : <PlanTable plan={plan} />}
      </section>
      <p className="narrow">
        {ESTIMATE_SENTENCE} {COVERAGE_SENTENCE}
      </p>
      <div className="actions">
        <PrintButton />
      </div>
    </>
  );
}
