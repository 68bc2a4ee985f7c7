import type { Metadata } from 'next';
import Link from 'next/link';
import { listedAs, Pages } from '@/app/_parts/Pages';
import { RunLines } from '@/app/_parts/RunLines';
import { UndoBar } from '@/app/_parts/UndoBar';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Runs' };

/** All runs. */
export default async function Runs({ searchParams }: PageProps<'/runs'>) {
	const query = await searchParams;
	const { store } = await theStore();
	const { lines, ...pages } = await listedAs(query, (part) => listRuns(store, part));
	return (
		<>
			<UndoBar query={query} />
			<h1>Runs</h1>
			<p className="narrow">A run is one pass of a weighed feed from a lot over the table.</p>
			<div className="actions">
				<Link className="button main" href="/runs/new">
					Start a run
				</Link>
				<Link className="button quiet" href="/runs/import">
					Take in a run from a file
				</Link>
			</div>
			{lines.length === 0 ? (
				<p>No runs yet. Start one, or load the demonstration on the Today page.</p>
			) : (
				<RunLines runs={lines} />
			)}
			<Pages {...pages} at="/runs?" what="runs" />
		</>
	);
}
