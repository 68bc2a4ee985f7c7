import type { Metadata } from 'next';
import Link from 'next/link';
import { settingRowsOf, toldRepeats } from '@/app/_forms/settingRows';
import { MOST_RUNS, tooManyRuns } from '@/app/_parts/askedComparison';
import { ChooseRuns } from '@/app/_parts/ChooseRuns';
import { DifferenceTables, SettingsTables } from '@/app/_parts/CompareTables';
import { BeingWorkedOut } from '@/app/_parts/FiguresNote';
import { findOr404 } from '@/app/_parts/findOr404';
import { GradeRecoveryPicture } from '@/app/_parts/GradeRecoveryPicture';
import { listedAs } from '@/app/_parts/Pages';
import { PrintButton } from '@/app/_parts/PrintButton';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { namedApart } from '@/lib/balance/compareNames';
import { falseAlarmSentence } from '@/lib/report/compareSentences';
import type { RunFile } from '@/lib/report/runFile';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { tellCompared } from '@/lib/report/toldComparison';
import type { ComparedRuns } from '@/lib/store/analysis';
import { latestPrices } from '@/lib/store/prices';
import { progressOf } from '@/lib/store/progress';
import { compareAtOnce } from '@/lib/store/runSums';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';
import type { PriceSheet } from '@/lib/value/priceSheet';

export const metadata: Metadata = { title: 'Compare runs' };

/** Runs set against the first one: settings, differences with their ranges, recovery against grade. */
export default async function ComparePage({ searchParams }: PageProps<'/compare'>) {
	const query = await searchParams;
	const asked = [query.run].flat().filter((id) => id !== undefined);
	const chosen = [...new Set(asked)];
	return (
		<>
			<Trail steps={[{ href: '/runs', label: 'Runs' }]} />
			<h1>Compare runs</h1>
			{chosen.length < 2 || chosen.length > MOST_RUNS || query.page !== undefined ? (
				<Choice query={query} chosen={chosen} />
			) : (
				<Comparison ids={chosen} />
			)}
		</>
	);
}

/** Runs to pick from: a lot's, or all. */
async function Choice({
	query,
	chosen,
}: {
	readonly query: Awaited<PageProps<'/compare'>['searchParams']>;
	readonly chosen: readonly string[];
}) {
	const { store } = await theStore();
	const lot = [query.lot].flat()[0];
	const listed = (lotId?: string) => listedAs(query, (part) => listRuns(store, { lotId, ...part }));
	const ofLot = await listed(lot);
	const isLotAlone = lot !== undefined && ofLot.page === 1 && ofLot.lines.length < 2;
	const { lines, ...pages } = isLotAlone ? await listed() : ofLot;
	const elsewhere = chosen.filter((id) => lines.every((run) => run.id !== id));
	const runs = [...(elsewhere.length === 0 ? [] : await listRuns(store, { ids: elsewhere })), ...lines];
	return (
		<>
			<p className="narrow">
				Pick two runs or more; all are set against the topmost that you pick. What the runs share (material, scale,
				camera) cancels in their differences, so these are known better than the runs themselves.
			</p>
			{chosen.length === 1 ? <p>One run alone has nothing to be set against. Pick another one.</p> : null}
			{chosen.length > MOST_RUNS ? <p role="alert">{tooManyRuns(chosen.length)} Leave some out.</p> : null}
			{runs.length < 2 ? (
				<p>
					There are not two runs yet. <Link href="/runs/new">Start a run</Link> first.
				</p>
			) : (
				<ChooseRuns runs={runs} chosen={chosen} lotId={isLotAlone ? undefined : lot} pages={pages} />
			)}
		</>
	);
}

async function Comparison({ ids }: { readonly ids: readonly string[] }) {
	const { store, pool } = await theStore();
	// taken first, so that what changes while the rest is looked up is a change that the page hears of
	const progress = await progressOf(store, undefined, pool.size);
	const boards = await Promise.all(ids.map((id) => findOr404(id, (one) => getBoard(store, one))));
	const sheet = (await latestPrices(store))?.sheet;
	const worked = await compareAtOnce(store, pool, boards, sheet);
	const compared = 'result' in worked ? worked.result : undefined;
	const settings = boards.map(({ run }) => run.settings);
	const query = ids.map((id) => `run=${id}`).join('&');
	return (
		<>
			<ReadingProgress initial={progress} awaited={'awaited' in worked ? worked.awaited : undefined} />
			{compared === undefined ? <BeingWorkedOut /> : <Differences {...compared} settings={settings} sheet={sheet} />}
			<section>
				<h2>Settings side by side</h2>
				<SettingsTables rows={settingRowsOf(settings)} names={namedApart(boards.map(({ run }) => run.name))} />
			</section>
			{compared === undefined || compared.plot.runs.length === 0 ? null : (
				<section>
					<h2>Recovery against grade</h2>
					<GradeRecoveryPicture plot={compared.plot} />
					{compared.plot.notDrawn.length === 0 ? null : (
						<p>Not drawn, because a weight or a grade is missing: {compared.plot.notDrawn.join(', ')}.</p>
					)}
				</section>
			)}
			<p className="narrow">
				{ESTIMATE_SENTENCE} {COVERAGE_SENTENCE}
			</p>
			<div className="actions">
				<Link className="button quiet" href="/compare">
					Pick other runs
				</Link>
				{ids.length === 2 ? (
					<Link className="button quiet" href={`/compare?run=${ids[1]}&run=${ids[0]}`}>
						Turn it round
					</Link>
				) : null}
				<a className="button quiet" href={`/compare/compare.csv?${query}`} download>
					Save as a table (CSV)
				</a>
				<a className="button quiet" href={`/compare/compare.json?${query}`} download>
					Save as JSON
				</a>
				<PrintButton />
			</div>
		</>
	);
}

/** What can be claimed of the runs, each against the first. */
function Differences({
	runs,
	compared,
	settings,
	sheet,
}: ComparedRuns & {
	readonly settings: readonly NonNullable<RunFile['settings']>[];
	readonly sheet: PriceSheet | undefined;
}) {
	const repeats = toldRepeats(runs, settings);
	const several = falseAlarmSentence(compared.length);
	return (
		<>
			{repeats === undefined ? null : <p className="lead">{repeats.sentence}</p>}
			{several === undefined ? null : <p className="narrow">{several}</p>}
			{tellCompared(compared, sheet).map((comparison) => (
				<section key={comparison.other}>
					<h2>
						{comparison.other} against {comparison.base}
					</h2>
					{comparison.sentences.map((sentence, k) => (
						<p key={sentence} className={k === 0 ? 'lead' : 'narrow'}>
							{sentence}
						</p>
					))}
					{comparison.warnings.map((warning) => (
						<div className="caution" key={warning}>
							<p>{warning}</p>
						</div>
					))}
					{comparison.cannot.map((sentence) => (
						<p className="narrow" key={sentence}>
							{sentence}
						</p>
					))}
					<DifferenceTables comparison={comparison} />
				</section>
			))}
		</>
	);
}
