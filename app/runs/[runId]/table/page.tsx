import type { Metadata } from 'next';
import Link from 'next/link';
import { feedAddress, nextBin, tableAddress, tableStepOf } from '@/app/_forms/tableSteps';
import { findBoard } from '@/app/_parts/findBoard';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import type { WeighedPlace } from '@/lib/balance/measuredMass';
import { COVERAGE_SENTENCE } from '@/lib/report/sentences';
import { feedSentence, weightSentence } from '@/lib/report/weightSentence';
import { isPhotographed } from '@/lib/store/photographed';
import { theStore } from '@/lib/store/theStore';
import { type ProductOnBoard, unreadPhotosOf, weighedPlaceOf } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'At the table' };

const TO_DO = { shoot: 'Photograph', unread: 'Photo not read', weigh: 'Weigh', done: 'Done' } as const;

/** The run as a work list for wet hands: one line a bin, one button to the next. */
export default async function TableBoard({ params }: PageProps<'/runs/[runId]/table'>) {
	const { board, progress } = await findBoard(await theStore(), (await params).runId);
	const { run, products } = board;
	const next = nextBin(products);
	return (
		<div className="at-table">
			<Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
			<h1>At the table</h1>
			{products.some(({ weighing }) => weighing?.moisture !== undefined) ? (
				<p className="soft">{COVERAGE_SENTENCE}</p>
			) : null}
			{products.length === 0 ? <p>This run has no bins yet. Add one on the run&rsquo;s page.</p> : null}
			<ul className="bins">
				<li>
					<Link className="bin" href={feedAddress(run.id)}>
						<span className="bin-name">Feed</span>
						<span className="bin-step">{run.feed.weighing === undefined ? TO_DO.weigh : TO_DO.done}</span>
						<span className="soft">{feedSentence(run)}</span>
					</Link>
				</li>
				{products.map((bin) => (
					<li key={bin.id}>
						<Link className="bin" href={tableAddress(run.id, bin)}>
							<span className="bin-name">{bin.name}</span>
							<span className="bin-step">{TO_DO[tableStepOf(bin)]}</span>
							<span className="soft">{stateOf(bin, weighedPlaceOf(run, products, bin.id))}</span>
						</Link>
					</li>
				))}
			</ul>
			<div className="main-action">
				{next === undefined ? (
					<Link className="button main" href={`/runs/${run.id}`}>
						Done: see the balance
					</Link>
				) : (
					<Link className="button main" href={tableAddress(run.id, next)}>
						Next: {next.name}
					</Link>
				)}
			</div>
			<ReadingProgress run={run.id} initial={progress} />
		</div>
	);
}

function stateOf(bin: ProductOnBoard, place: WeighedPlace): string {
	const { spreads, weighing, checks } = bin;
	const { refused } = unreadPhotosOf(bin);
	const photographed = spreads.filter(isPhotographed).length;
	return [
		tableStepOf(bin) === 'shoot' ? 'Not photographed.' : '',
		photographed === 0 ? '' : `${count(photographed, 'spread')} photographed.`,
		refused === 0 ? '' : `${count(refused, 'photo')} could not be read.`,
		weightSentence(weighing, place, checks),
	]
		.filter(Boolean)
		.join(' ');
}

function count(n: number, word: string): string {
	return `${n} ${word}${n === 1 ? '' : 's'}`;
}
