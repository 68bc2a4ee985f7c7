import { randomUUID } from 'node:crypto';
import type { Metadata } from 'next';
import Link from 'next/link';
import { createRun } from '@/app/_actions/runActions';
import { typedRun } from '@/app/_forms/runForm';
import { todayOfRequest } from '@/app/_http/presentRequest';
import { CautionNote } from '@/app/_parts/CautionNote';
import { EntryForm } from '@/app/_parts/EntryForm';
import { SelectField } from '@/app/_parts/Fields';
import { RunFields } from '@/app/_parts/RunFields';
import { Trail } from '@/app/_parts/Trail';
import { listLots } from '@/lib/store/lots';
import { DEFAULT_MATERIAL_NAME, listMaterials } from '@/lib/store/materials';
import { countRuns, listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Start a run' };

/** A new run; the table's settings are those of the last one. */
export default async function NewRun({ searchParams }: PageProps<'/runs/new'>) {
	const { store } = await theStore();
	const { lot } = await searchParams;
	const [lots, [last], made, materials] = await Promise.all([
		listLots(store),
		listRuns(store, { own: true, limit: 1 }),
		countRuns(store, { own: true }),
		listMaterials(store),
	]);
	if (lots.length === 0) {
		return (
			<>
				<Trail steps={[{ href: '/runs', label: 'Runs' }]} />
				<h1>Start a run</h1>
				<p>A run is made from a lot, and there is none yet.</p>
				<Link className="button main" href="/lots/new">
					Add the first lot
				</Link>
			</>
		);
	}
	const fresh = { name: `Run ${made + 1}`, runDate: await todayOfRequest(), feed: {}, notes: '' };
	const initial = typedRun({
		...fresh,
		settings: last?.settings ?? {},
		material: last?.material ?? DEFAULT_MATERIAL_NAME,
	});
	const firstLot = lots.find(({ demo }) => !demo)?.id ?? lots[0]?.id ?? '';
	return (
		<>
			<Trail steps={[{ href: '/runs', label: 'Runs' }]} />
			<h1>Start a run</h1>
			{last === undefined ? null : (
				<p className="hint">Table settings are those of {last.name}; change what was changed.</p>
			)}
			<CautionNote work="table" />
			<EntryForm action={createRun} submit="Start the run" beside={<Link href="/runs">Leave without saving</Link>}>
				<input type="hidden" name="id" value={randomUUID()} />
				<SelectField
					name="lotId"
					label="Lot"
					initial={typeof lot === 'string' ? lot : firstLot}
					options={lots.map(({ id, name, demo }) => ({ value: id, label: demo ? `${name} (demo)` : name }))}
				/>
				<RunFields initial={initial} materials={materials.map(({ name }) => name)} />
			</EntryForm>
		</>
	);
}
