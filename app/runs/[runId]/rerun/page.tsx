import type { Metadata } from 'next';
import Link from 'next/link';
import type { Problem } from '@/app/_forms/formState';
import { readRerunForm } from '@/app/_forms/rerunForm';
import { fieldsInAddress } from '@/app/_forms/typedNumber';
import { type RerunAnswer, rerunAtOnce } from '@/app/_parts/askedRerun';
import { CarryOverNote } from '@/app/_parts/CarryOverNote';
import { BeingWorkedOut } from '@/app/_parts/FiguresNote';
import { findBoard } from '@/app/_parts/findBoard';
import { listedAs } from '@/app/_parts/Pages';
import { PrintButton } from '@/app/_parts/PrintButton';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { RerunForm } from '@/app/_parts/RerunForm';
import { RerunResult } from '@/app/_parts/RerunResult';
import { RunCautions } from '@/app/_parts/RunCautions';
import { Trail } from '@/app/_parts/Trail';
import { toldOf } from '@/lib/errors/TrayError';
import { printDay } from '@/lib/report/format';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { latestPrices } from '@/lib/store/prices';
import { listRuns } from '@/lib/store/runs';
import type { AtOnce } from '@/lib/store/sumsAtOnce';
import { theStore } from '@/lib/store/theStore';
import { priceSheetSchema } from '@/lib/value/priceSheet';

export const metadata: Metadata = { title: 'Rerun the middlings?' };

/** What feeding the middlings again comes to: recovery, grade, load on the table, and whether it pays. */
export default async function RerunPage({ params, searchParams }: PageProps<'/runs/[runId]/rerun'>) {
	const running = await theStore();
	const { store, pool } = running;
	const { board, progress } = await findBoard(running, (await params).runId);
	const { run } = board;
	const { typed, read } = fieldsInAddress(await searchParams);
	const { source, batchKg, fields } = readRerunForm(read);
	const problems: Problem[] = [...fields.problems];
	let worked: AtOnce<RerunAnswer> | undefined;
	if (problems.length === 0) {
		try {
			worked = await rerunAtOnce(store, pool, board, { source, batchKg });
		} catch (cause) {
			problems.push({ field: '', message: toldOf(cause) });
		}
	}
	const { lines, ...pages } = await listedAs(typed, (part) => listRuns(store, part));
	const isElsewhere = source.kind === 'measured' && lines.every(({ id }) => id !== source.runId);
	const chosen = isElsewhere ? await listRuns(store, { ids: [source.runId] }) : [];
	const others = [...chosen, ...lines].filter(({ id }) => id !== run.id);
	const kept = await latestPrices(store);
	const sheet = kept?.sheet ?? priceSheetSchema.parse({ deckside: 'prices/1' });
	const answer = worked !== undefined && 'result' in worked ? worked.result : undefined;
	const awaited = worked !== undefined && 'awaited' in worked ? worked.awaited : undefined;
	return (
		<>
			<Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
			<h1>Rerun the middlings of {run.name}?</h1>
			<ReadingProgress run={run.id} initial={progress} awaited={awaited} />
			<CarryOverNote settings={run.settings} />
			<RerunForm
				runs={others.map(({ id, name, runDate, lotName }) => ({
					id,
					name: `${name}, ${printDay(runDate)}, lot ${lotName}`,
				}))}
				pages={pages}
				typed={typed}
				problems={problems}
			/>
			{awaited === undefined ? null : <BeingWorkedOut />}
			{answer === undefined ? null : <RerunResult answer={answer} sheet={sheet} />}
			<RunCautions store={store} pool={pool} board={board} />
			<p className="narrow">
				{ESTIMATE_SENTENCE} {COVERAGE_SENTENCE}
			</p>
			<div className="actions">
				<Link className="button quiet" href={`/runs/${run.id}/money/prices`}>
					{kept === undefined ? 'Enter prices' : 'Change prices'}
				</Link>
				<PrintButton />
				{answer === undefined || !('account' in answer) ? null : (
					<>
						<a className="button quiet" href={`/runs/${run.id}/rerun/rerun.csv?${new URLSearchParams(read)}`} download>
							Save as a table (CSV)
						</a>
						<a className="button quiet" href={`/runs/${run.id}/rerun/rerun.json?${new URLSearchParams(read)}`} download>
							Save as JSON
						</a>
					</>
				)}
			</div>
		</>
	);
}
