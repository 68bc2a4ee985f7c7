import type { Metadata } from 'next';
import Link from 'next/link';
import { CarryOverNote } from '@/app/_parts/CarryOverNote';
import { EstimateCell } from '@/app/_parts/EstimateCell';
import { BeingWorkedOut } from '@/app/_parts/FiguresNote';
import { FlowPicture } from '@/app/_parts/FlowPicture';
import { findBoard } from '@/app/_parts/findBoard';
import { PrintButton } from '@/app/_parts/PrintButton';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { RunCautions } from '@/app/_parts/RunCautions';
import { Trail } from '@/app/_parts/Trail';
import { FLOWS, type Flow, type FlowDiagram } from '@/lib/report/flowDiagram';
import { massHead } from '@/lib/report/format';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE, GRADED_NAMES } from '@/lib/report/sentences';
import { flowsAtOnce } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Flow from feed to bins' };

/** A run as a flow diagram: dry mass or one component from the feed to the bins. */
export default async function FlowPage({ params, searchParams }: PageProps<'/runs/[runId]/flow'>) {
	const running = await theStore();
	const { store, pool } = running;
	const { board, progress } = await findBoard(running, (await params).runId);
	const { run } = board;
	const asked = (await searchParams).of;
	const flow = FLOWS.find((one) => one === asked) ?? 'mass';
	const worked = await flowsAtOnce(store, pool, board);
	const diagram = 'result' in worked ? worked.result[flow] : undefined;
	return (
		<>
			<Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
			<h1>
				{flowName(flow)} from feed to bins, {run.name}
			</h1>
			<ReadingProgress run={run.id} initial={progress} awaited={'awaited' in worked ? worked.awaited : undefined} />
			<CarryOverNote settings={run.settings} />
			<nav aria-label="What is shown" className="actions">
				{FLOWS.map((one) => (
					<Link
						key={one}
						className="choice-button"
						href={`/runs/${run.id}/flow?of=${one}`}
						{...(one === flow ? { 'aria-current': 'page' as const } : {})}
					>
						{flowName(one)}
					</Link>
				))}
			</nav>
			{diagram === undefined ? (
				<BeingWorkedOut />
			) : diagram.bands.length === 0 ? (
				<p>
					{flow === 'mass'
						? 'Weigh the bins, and the feed if you can: then the flow is drawn here.'
						: `Once the bins are weighed and their photos read, the flow of ${flow} is drawn here.`}
				</p>
			) : (
				<>
					<FlowPicture diagram={diagram} title={`${flowName(flow)} from feed to bins; the numbers are in the table`} />
					<FlowTable diagram={diagram} />
				</>
			)}
			<RunCautions store={store} pool={pool} board={board} />
			{diagram !== undefined && diagram.notKnown.length > 0 && diagram.bands.length > 0 ? (
				<div className="caution">
					<p>
						Not drawn, because {flow === 'mass' ? 'a weight' : 'a weight or a grade'} is missing:{' '}
						{diagram.notKnown.join(', ')}. Shares are of what is known.
					</p>
				</div>
			) : null}
			<p>
				{ESTIMATE_SENTENCE} Masses are dry and reconciled. {COVERAGE_SENTENCE}
			</p>
			<div className="actions">
				<PrintButton />
			</div>
		</>
	);
}

function flowName(flow: Flow): string {
	return flow === 'mass' ? 'Dry mass' : GRADED_NAMES[flow];
}

function FlowTable({ diagram }: { readonly diagram: FlowDiagram }) {
	const heads = { amount: massHead('Amount'), share: 'Share of the feed, %' };
	return (
		<table className="stack">
			<caption>{flowName(diagram.flow)} in the bins</caption>
			<thead>
				<tr>
					<th scope="col">Product</th>
					<th scope="col" className="number">
						{heads.amount}
					</th>
					<th scope="col" className="number">
						{heads.share}
					</th>
				</tr>
			</thead>
			<tbody>
				{diagram.bands.map(({ id, name, amountKg, shareOfFeed }) => (
					<tr key={id}>
						<th scope="row">{name}</th>
						<EstimateCell head={heads.amount} estimate={amountKg} mass />
						<EstimateCell head={heads.share} estimate={shareOfFeed} percent />
					</tr>
				))}
				<tr>
					<th scope="row">Feed</th>
					<EstimateCell head={heads.amount} estimate={diagram.feedKg} mass />
					<td />
				</tr>
			</tbody>
		</table>
	);
}
