import type { Metadata } from 'next';
import Link from 'next/link';
import { CarryOverNote } from '@/app/_parts/CarryOverNote';
import { BeingWorkedOut } from '@/app/_parts/FiguresNote';
import { findBoard } from '@/app/_parts/findBoard';
import { MoneyTables } from '@/app/_parts/MoneyTables';
import { PrintButton } from '@/app/_parts/PrintButton';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { RunCautions } from '@/app/_parts/RunCautions';
import { TornadoPlot, TornadoTable } from '@/app/_parts/TornadoPlot';
import { Trail } from '@/app/_parts/Trail';
import { MONEY_SENTENCE, marginSentence, metalSentence } from '@/lib/report/moneySentences';
import { shownTon } from '@/lib/report/presentation';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { latestPrices } from '@/lib/store/prices';
import { valueAtOnce } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { priceSheetSchema } from '@/lib/value/priceSheet';

export const metadata: Metadata = { title: 'What the run is worth' };

/** What a run is worth at the prices on record, by the ton of dry waste and as a whole. */
export default async function MoneyPage({ params }: PageProps<'/runs/[runId]/money'>) {
	const running = await theStore();
	const { store, pool } = running;
	const { board, progress } = await findBoard(running, (await params).runId);
	const { run } = board;
	const kept = await latestPrices(store);
	const entered = kept?.sheet ?? priceSheetSchema.parse({ deckside: 'prices/1' });
	const sheet = { ...entered, perTon: shownTon(entered.perTon) };
	const worked = await valueAtOnce(store, pool, board, entered);
	const value = 'result' in worked ? worked.result : undefined;
	return (
		<>
			<Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
			<h1>What it is worth: {run.name}</h1>
			<ReadingProgress run={run.id} initial={progress} awaited={'awaited' in worked ? worked.awaited : undefined} />
			<CarryOverNote settings={run.settings} />
			{value === undefined ? <BeingWorkedOut /> : <p className="lead">{metalSentence(value, sheet.perTon)}</p>}
			{kept === undefined ? <p>Enter what copper sells for, and the margin is worked out here.</p> : null}
			{kept === undefined || value === undefined ? null : <p className="lead">{marginSentence(value, sheet.perTon)}</p>}
			<div className="actions">
				<Link className="button main" href={`/runs/${run.id}/money/prices`}>
					{kept === undefined ? 'Enter prices' : 'Change prices'}
				</Link>
			</div>
			{value?.cannot.map((sentence) => (
				<div className="caution" key={sentence}>
					<p>{sentence}</p>
				</div>
			))}
			<RunCautions store={store} pool={pool} board={board} />
			{kept === undefined || value === undefined ? null : (
				<MoneyTables value={value} sheet={sheet} enteredAt={kept.enteredAt} />
			)}
			{value === undefined || value.sensitivities.length === 0 ? null : (
				<section>
					<h2>What moves the margin</h2>
					<p className="narrow">
						Each input goes from the low to the high end of its range while the others stay: measured ones over their
						range (full bars), entered ones by what you let them vary (open bars). Copper in the waste and recovery of
						one run move against each other, so their bars overstate what they do together; the range of the margin
						knows that.
					</p>
					<TornadoPlot value={value} sheet={sheet} />
					<TornadoTable value={value} sheet={sheet} />
				</section>
			)}
			<p className="narrow">
				{MONEY_SENTENCE} {ESTIMATE_SENTENCE} {COVERAGE_SENTENCE}
			</p>
			<div className="actions">
				<PrintButton />
				{kept === undefined ? null : (
					<>
						<a className="button quiet" href={`/runs/${run.id}/money/money.csv`} download>
							Save as a table (CSV)
						</a>
						<a className="button quiet" href={`/runs/${run.id}/money/money.json`} download>
							Save as JSON
						</a>
						<a className="button quiet" href={`/runs/${run.id}/money/prices.json`} download>
							Save the prices as a file
						</a>
					</>
				)}
			</div>
		</>
	);
}
