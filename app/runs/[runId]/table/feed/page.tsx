import type { Metadata } from 'next';
import Link from 'next/link';
import { saveFeedWeighing } from '@/app/_actions/runActions';
import { FEED_WET_HINT, typedWeighing } from '@/app/_forms/weighingForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { SeenField } from '@/app/_parts/SeenField';
import { TableTrail } from '@/app/_parts/TableTrail';
import { WeighingFields } from '@/app/_parts/WeighingFields';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Weigh the feed' };

/** Weigh what is put on the table; whoever comes from the run's page goes back there. */
export default async function WeighFeed({ params, searchParams }: PageProps<'/runs/[runId]/table/feed'>) {
	const { store } = await theStore();
	const run = await findOr404((await params).runId, (id) => getRun(store, id));
	const then = (await searchParams).then === 'run' ? 'run' : 'table';
	const initial = typedWeighing(run.feed.weighing);
	return (
		<div className="at-table">
			<TableTrail id={run.id} name={run.name} />
			<h1>Weigh the feed</h1>
			<p className="hint">Without it what was lost does not show.</p>
			<EntryForm
				action={saveFeedWeighing}
				submit="Save weight"
				beside={
					<Link className="button quiet" href={then === 'run' ? `/runs/${run.id}` : `/runs/${run.id}/table`}>
						Not weighed
					</Link>
				}
			>
				<input type="hidden" name="id" value={run.id} />
				<input type="hidden" name="then" value={then} />
				<SeenField entry={initial} />
				<WeighingFields initial={initial} wetHint={FEED_WET_HINT} />
			</EntryForm>
		</div>
	);
}
