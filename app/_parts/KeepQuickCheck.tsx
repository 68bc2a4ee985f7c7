import Link from 'next/link';
import { saveQuickCheck } from '@/app/_actions/quickActions';
import { listProducts } from '@/lib/store/products';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { EntryForm } from './EntryForm';
import { SelectField } from './Fields';

/** How many of the latest runs are offered. */
const RUNS_OFFERED = 8;

/** Keep a quick check as a spread of a bin of one's own runs. */
export async function KeepQuickCheck({ id }: { readonly id: string }) {
	const { store } = await theStore();
	const runs = await listRuns(store, { own: true, limit: RUNS_OFFERED });
	const bins = await Promise.all(
		runs.map(async (run) =>
			(await listProducts(store, run.id)).map((bin) => ({ value: bin.id, label: `${run.name}: ${bin.name}` })),
		),
	);
	return (
		<section>
			<h2>Keep it in a run</h2>
			{runs.length === 0 ? (
				<p>
					There is no run to keep it in. <Link href="/runs/new">Start a run</Link>; the check waits here.
				</p>
			) : (
				<EntryForm action={saveQuickCheck} submit="Keep it">
					<input type="hidden" name="id" value={id} />
					<SelectField
						name="bin"
						label="Which bin does it show?"
						initial=""
						options={[{ value: '', label: 'Choose the run and the bin' }, ...bins.flat()]}
					/>
				</EntryForm>
			)}
		</section>
	);
}
