import type { Metadata } from 'next';
import Link from 'next/link';
import { saveRun } from '@/app/_actions/runActions';
import { typedRun } from '@/app/_forms/runForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { RunFields } from '@/app/_parts/RunFields';
import { SeenField } from '@/app/_parts/SeenField';
import { Trail } from '@/app/_parts/Trail';
import { listMaterials } from '@/lib/store/materials';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Change a run' };

/** Change a run's feed, settings and notes. */
export default async function ChangeRun({ params }: PageProps<'/runs/[runId]/edit'>) {
	const { store } = await theStore();
	const run = await findOr404((await params).runId, (id) => getRun(store, id));
	const materials = await listMaterials(store);
	return (
		<>
			<Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
			<h1>Change feed and settings</h1>
			<EntryForm action={saveRun} submit="Save" beside={<Link href={`/runs/${run.id}`}>Leave without saving</Link>}>
				<input type="hidden" name="id" value={run.id} />
				<SeenField entry={typedRun(run)} />
				<RunFields initial={typedRun(run)} materials={materials.map(({ name }) => name)} />
			</EntryForm>
		</>
	);
}
