import Link from 'next/link';
import { listLots } from '@/lib/store/lots';
import { progressOf } from '@/lib/store/progress';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { DemoActions } from './_parts/DemoNotice';
import { ReadingProgress } from './_parts/ReadingProgress';
import { RunLines } from './_parts/RunLines';

/** Today: where you are and what to do next. */
export default async function Today() {
	const { store, pool } = await theStore();
	const [runs, lots, progress] = await Promise.all([
		listRuns(store, { limit: 6 }),
		listLots(store),
		progressOf(store, undefined, pool.size),
	]);
	const own = runs.find((run) => !run.demo);
	const ownLots = lots.filter((lot) => !lot.demo);
	const demo = runs.find((run) => run.demo);
	return (
		<>
			<h1>Today</h1>
			<p className="lead">
				Grades the products of a wet shaking table from photos of spread samples and from bin weights, each figure with
				its range.
			</p>
			<ReadingProgress initial={progress} />
			<div className="actions">
				{own === undefined ? null : (
					<Link className="button main" href={`/runs/${own.id}`}>
						Go on with {own.name}
					</Link>
				)}
				{ownLots.length > 0 ? (
					<Link className={own === undefined ? 'button main' : 'button'} href="/runs/new">
						Start a run
					</Link>
				) : (
					<Link className={own === undefined ? 'button main' : 'button'} href="/lots/new">
						Add the first lot
					</Link>
				)}
				<Link className="button" href="/quick">
					Grade one photo, without a run
				</Link>
			</div>
			{ownLots.length === 0 ? <FirstSteps /> : null}
			<section>
				<h2>Latest runs</h2>
				{runs.length === 0 ? <p>No runs yet.</p> : <RunLines runs={runs} />}
				<p>
					<Link href="/runs">All runs</Link>
				</p>
			</section>
			<section className="narrow">
				<h2>Demonstration</h2>
				<p>
					{demo === undefined
						? 'A made-up run with rendered pictures shows how Deckside works. It is read from scratch when it is loaded.'
						: 'The demonstration run is invented and its pictures are rendered, not photographed. Its figures are worked out here.'}
				</p>
				<DemoActions loaded={lots.some((lot) => lot.demo)} />
			</section>
		</>
	);
}

function FirstSteps() {
	return (
		<section className="narrow">
			<h2>The first time</h2>
			<ol className="first-steps">
				<li>
					<Link href="/mat">Print the spread mat</Link> and measure its check line. A plain tray works too.
				</li>
				<li>
					<Link href="/lots/new">Add the lot</Link> you are about to run.
				</li>
				<li>
					<Link href="/devices">Let a phone join</Link>, to shoot and weigh at the table.
				</li>
				<li>Start a run, weigh the feed, run the table.</li>
				<li>For each bin: weigh it, spread a sub-sample one layer thick, photograph it.</li>
				<li>Read the grades and the balance on the run&rsquo;s page.</li>
			</ol>
		</section>
	);
}
