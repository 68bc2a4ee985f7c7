import type { Metadata } from 'next';
import Link from 'next/link';
import { takeInRun } from '@/app/_actions/importActions';
import { EntryForm } from '@/app/_parts/EntryForm';
import { FileField } from '@/app/_parts/FileField';
import { findOr404 } from '@/app/_parts/findOr404';
import { Trail } from '@/app/_parts/Trail';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Take in a run' };

/** Take in a run that was saved as a file. */
export default async function ImportPage({ searchParams }: PageProps<'/runs/import'>) {
	const { run, missing, unknown } = await searchParams;
	const { store } = await theStore();
	const taken = typeof run === 'string' ? await findOr404(run, (id) => getRun(store, id)) : undefined;
	return (
		<>
			<Trail steps={[{ href: '/runs', label: 'Runs' }]} />
			<h1>Take in a run from a file</h1>
			{taken === undefined ? null : (
				<div className="caution">
					<p>
						<Link href={`/runs/${taken.id}`}>{taken.name}</Link> was taken in with its settings, weights and checks.
					</p>
					{missing === undefined || missing === '0' ? null : (
						<p>
							{missing} of its photos do not lie in this data folder. Their places are kept: add them again to their
							products and they go there by themselves.
						</p>
					)}
					{unknown === undefined || unknown === '0' ? null : (
						<p>
							{unknown} of its photos are named without a checksum, so they can&rsquo;t be known again. Add them as new
							spreads; hand sorts of those spreads were left out.
						</p>
					)}
				</div>
			)}
			<p className="narrow">
				A file as &ldquo;Save the run as a file&rdquo; writes it. Photos are found again where they lie in this data
				folder; everything is worked out afresh.
			</p>
			<EntryForm action={takeInRun} submit="Take it in" beside={<Link href="/runs">Leave without taking it in</Link>}>
				<FileField name="file" label="Run file" accept=".json,application/json" />
			</EntryForm>
		</>
	);
}
