import type { Metadata } from 'next';
import { addMaterial, deleteMaterial } from '@/app/_actions/setUpActions';
import { ActionButton } from '@/app/_parts/ActionButton';
import { EntryForm } from '@/app/_parts/EntryForm';
import { FileField } from '@/app/_parts/FileField';
import { MaterialLessons } from '@/app/_parts/MaterialLessons';
import { MaterialTable } from '@/app/_parts/MaterialTable';
import { UndoBar } from '@/app/_parts/UndoBar';
import { getMaterial, isMaterialUsed, listMaterials } from '@/lib/store/materials';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Materials' };

/** What photos are read with: classes with densities, copper content and shapes. */
export default async function Materials({ searchParams }: PageProps<'/materials'>) {
	const { store } = await theStore();
	const query = await searchParams;
	const lines = await listMaterials(store);
	const materials = await Promise.all(lines.map(({ name }) => getMaterial(store, name)));
	const kept = await Promise.all(lines.map(async ({ name, builtIn }) => builtIn || isMaterialUsed(store, name)));
	return (
		<>
			<UndoBar query={query} />
			<h1>Materials</h1>
			<p className="lead">
				A material says what photos are read with: for each class of pieces its density, its copper, how thick a piece
				lies for its width, and its colours.
			</p>
			{materials.map((material, i) => (
				<section key={material.name}>
					<h2>{material.name}</h2>
					<p className="narrow">
						{material.taughtFrom === undefined
							? `${lines[i]?.builtIn ? 'Built in.' : 'Your own.'} ${material.note}`
							: `Your own, taught on photos from ${material.taughtFrom}: its colours are those you tapped, its figures those of ${material.taughtFrom}.`}
					</p>
					<MaterialTable material={material} />
					<MaterialLessons material={material.name} query={query} />
					{kept[i] ? null : (
						<ActionButton action={deleteMaterial} id={material.name} label={`Remove this material: ${material.name}`}>
							Remove this material
						</ActionButton>
					)}
				</section>
			))}
			<section className="narrow">
				<h2>Teach one on a photo</h2>
				<p>
					Open a spread, choose &ldquo;Teach what is what on this photo&rdquo;, and tap a few spots of each thing. What
					you teach is kept here under its name, and every run can be read with it.
				</p>
			</section>
			<section>
				<h2>Add a material of your own</h2>
				<p className="hint narrow">
					A material file, as the developers&rsquo; notes describe it. One of the same name replaces the older, and
					photos read with it are read again.
				</p>
				<EntryForm action={addMaterial} submit="Add the material">
					<FileField name="file" label="Material file" accept=".json,application/json" />
				</EntryForm>
			</section>
		</>
	);
}
