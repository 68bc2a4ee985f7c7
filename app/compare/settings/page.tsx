import type { Metadata } from 'next';
import Link from 'next/link';
import { readPlanForm } from '@/app/_forms/planForm';
import { OUTCOMES, type Outcome } from '@/app/_forms/settledRun';
import { fieldsInAddress } from '@/app/_forms/typedNumber';
import { EffectsTable } from '@/app/_parts/EffectsTable';
import { RunsBehind, RunsInReading } from '@/app/_parts/FiguresNote';
import { findOr404 } from '@/app/_parts/findOr404';
import { lotEffects, runsAtOnce } from '@/app/_parts/lotHistory';
import { PlanForm, PlanTable } from '@/app/_parts/PlanOfRuns';
import { PrintButton } from '@/app/_parts/PrintButton';
import { StaysUpToDate } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { getLot } from '@/lib/store/lots';
import { progressOf } from '@/lib/store/progress';
import { runsOfLot } from '@/lib/store/runSummaries';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'What did a setting do?' };

const OUTCOME_NAMES: Readonly<Record<Outcome, string>> = { recovery: 'Copper recovery', grade: 'Copper grade' };

/** Effects of settings over a lot's runs, and a plan for the next runs. */
export default async function SettingsPage({ searchParams }: PageProps<'/compare/settings'>) {
	const { typed, read } = fieldsInAddress(await searchParams);
	const { store, pool } = await theStore();
	const lot = await findOr404(typed.lot ?? '', (id) => getLot(store, id));
	const outcome = OUTCOMES.find((one) => one === typed.of) ?? 'recovery';
	const progress = await progressOf(store, undefined, pool.size);
	const worked = await runsAtOnce(store, pool, await runsOfLot(store, lot.id));
	const effects = lotEffects(worked, outcome);
	const { plan, fields } = readPlanForm(read);
	return (
		<>
			<Trail steps={[{ href: `/lots/${lot.id}`, label: `Lot: ${lot.name}` }]} />
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
				<h2>
					{OUTCOME_NAMES[outcome]} of the concentrates over the runs of {lot.name}
				</h2>
				<StaysUpToDate initial={progress} awaited={worked.awaited} />
				<RunsBehind names={worked.behind} />
				<EffectsTable effects={effects} outcome={OUTCOME_NAMES[outcome]} />
				{effects.effects.length === 0 ? null : (
					<>
						<RunsInReading lotId={lot.id} />
						<div className="actions">
							<a className="button quiet" href={`/compare/settings/effects.csv?lot=${lot.id}`} download>
								Save the effects as a table (CSV)
							</a>
							<a className="button quiet" href={`/compare/settings/effects.json?lot=${lot.id}`} download>
								Save the effects as JSON
							</a>
						</div>
					</>
				)}
			</section>
			<section>
				<h2>Plan the next runs</h2>
				<p className="narrow">
					Name two levels for each setting that is to be tried; leave the others empty. Every combination is run as
					often as you say, in a shuffled order, so that a drift of the feed does not look like an effect. Run all of
					them from one lot.
				</p>
				<PlanForm lotId={lot.id} typed={typed} problems={fields.problems} />
				{plan === undefined ? null : (
					<>
						<PlanTable plan={plan} />
						<div className="actions">
							<a className="button quiet" href={`/compare/settings/plan.csv?${new URLSearchParams(read)}`} download>
								Save the plan as a table (CSV)
							</a>
							<a className="button quiet" href={`/compare/settings/plan.json?${new URLSearchParams(read)}`} download>
								Save the plan as JSON
							</a>
						</div>
					</>
				)}
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
