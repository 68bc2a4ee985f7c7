import type { Metadata } from 'next';
import Link from 'next/link';
import { redirect } from 'next/navigation';
import { deleteRun, readRunAgain } from '@/app/_actions/runActions';
import { ActionButton } from '@/app/_parts/ActionButton';
import { BalanceSection } from '@/app/_parts/BalanceSection';
import { DemoActions, DemoNotice } from '@/app/_parts/DemoNotice';
import { FiguresNote } from '@/app/_parts/FiguresNote';
import { findBoard } from '@/app/_parts/findBoard';
import { findOr404 } from '@/app/_parts/findOr404';
import { ProductTiles } from '@/app/_parts/ProductTiles';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { RunFacts } from '@/app/_parts/RunFacts';
import { RunOffice } from '@/app/_parts/RunOffice';
import { Trail } from '@/app/_parts/Trail';
import { UndoBar } from '@/app/_parts/UndoBar';
import { printDay } from '@/lib/report/format';
import { readEarlierSentence } from '@/lib/report/progressSentences';
import { COVERAGE_SENTENCE } from '@/lib/report/sentences';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { figuresOf } from '@/lib/store/runFigures';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { isRead, photosReadEarlier, type RunBoard } from '@/lib/store/workedRun';

export async function generateMetadata({ params }: PageProps<'/runs/[runId]'>): Promise<Metadata> {
	const { store } = await theStore();
	const run = await findOr404((await params).runId, (id) => getRun(store, id));
	return { title: run.name };
}

/** A run: its products and their grades, and the balance. */
export default async function RunPage({ params, searchParams }: PageProps<'/runs/[runId]'>) {
	if ((await params).runId === QUICK_RUN_ID) redirect('/quick');
	const running = await theStore();
	const { board, progress } = await findBoard(running, (await params).runId);
	const { run } = board;
	const figures = await figuresOf(running.store, running.pool, board);
	const readEarlier = photosReadEarlier(board);
	return (
		<>
			<UndoBar query={await searchParams} />
			<Trail
				steps={[
					{ href: '/runs', label: 'Runs' },
					{ href: `/lots/${run.lotId}`, label: `Lot: ${run.lotName}` },
				]}
			/>
			<h1>{run.name}</h1>
			<p>
				{printDay(run.runDate)}. {COVERAGE_SENTENCE}
			</p>
			{run.demo ? <DemoNotice /> : null}
			<ReadingProgress run={run.id} initial={progress} />
			{readEarlier === 0 ? null : (
				<div className="caution">
					<p>{readEarlierSentence(readEarlier)}</p>
					<ActionButton action={readRunAgain} id={run.id}>
						Read the run’s photos again
					</ActionButton>
				</div>
			)}
			<div className="actions">
				<Link className="button main" href={`/runs/${run.id}/table`}>
					Work at the table
				</Link>
			</div>
			<section>
				<h2>Products</h2>
				{isToBeSaid(board) ? <FiguresNote figures={figures} /> : null}
				<ProductTiles board={board} figures={figures} />
				<div className="actions">
					<Link className="button quiet" href={`/runs/${run.id}/products/new`}>
						Add a product
					</Link>
				</div>
			</section>
			<BalanceSection board={board} figures={figures} />
			<RunOffice runId={run.id} lotId={run.lotId} settings={run.settings} />
			<RunFacts run={run} />
			<div className="actions">
				<Link className="button" href={`/runs/${run.id}/edit`}>
					Change feed and settings
				</Link>
				<a className="button quiet" href={`/runs/${run.id}/run.json`} download>
					Save the run as a file
				</a>
				{run.demo ? (
					<DemoActions loaded />
				) : (
					<ActionButton action={deleteRun} id={run.id}>
						Remove this run
					</ActionButton>
				)}
			</div>
		</>
	);
}

/** A run of which nothing is graded has no figures beside its products. */
function isToBeSaid({ products }: RunBoard): boolean {
	return products.some((product) => isRead(product) || product.checks.length > 0);
}
