import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { saveSpreadMass } from '@/app/_actions/photoActions';
import { unitOf } from '@/app/_forms/unitOf';
import { DemoNotice } from '@/app/_parts/DemoNotice';
import { EntryForm } from '@/app/_parts/EntryForm';
import { NumberField, SelectField } from '@/app/_parts/Fields';
import { findBoard } from '@/app/_parts/findBoard';
import { PhotoPanel } from '@/app/_parts/PhotoPanel';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { UploadPhotos } from '@/app/_parts/UploadPhotos';
import { fromKg, MASS_UNITS } from '@/lib/quantity/units';
import { printEntered, printExactMass, UNIT_TEXT } from '@/lib/report/format';
import { COVERAGE_SENTENCE } from '@/lib/report/sentences';
import { listMaterials } from '@/lib/store/materials';
import { theStore } from '@/lib/store/theStore';
import type { ProductOnBoard } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'Spread' };

/** One spread: each photo beside what the program saw on it, and what that makes. */
export default async function SpreadPage({ params }: PageProps<'/runs/[runId]/spreads/[spreadId]'>) {
	const running = await theStore();
	const { runId, spreadId } = await params;
	const { board, progress } = await findBoard(running, runId);
	const { run, products } = board;
	const product = products.find(({ spreads }) => spreads.some(({ id }) => id === spreadId));
	const spread = product?.spreads.find(({ id }) => id === spreadId);
	if (product === undefined || spread === undefined) notFound();
	const materials = await listMaterials(running.store);
	return (
		<>
			<Trail
				steps={[
					{ href: `/runs/${run.id}`, label: run.name },
					{ href: `/runs/${run.id}/products/${product.id}`, label: product.name },
				]}
			/>
			<h1>
				{product.name}, spread {spread.number}
			</h1>
			<p>
				{COVERAGE_SENTENCE} <Link href="/help/grade">How the grade is worked out</Link>
			</p>
			{run.demo ? <DemoNotice /> : null}
			<ReadingProgress run={run.id} initial={progress} />
			{spread.photos.map((photo) => (
				<PhotoPanel
					key={photo.id}
					photo={photo}
					materials={materials.map(({ name }) => name)}
					runMaterial={run.material}
					tray={lastTray(products)}
				/>
			))}
			<section>
				<h2>Another photo of this spread</h2>
				<p className="hint narrow">
					Photos of the same pieces share their sampling error. A new spread from another scoop tells more: add it on
					the product&rsquo;s page.
				</p>
				<UploadPhotos product={product.id} spread={spread.id} />
			</section>
			<SpreadMass spread={spread} />
		</>
	);
}

function lastTray(products: readonly ProductOnBoard[]) {
	const choices = products.flatMap(({ spreads }) =>
		spreads.flatMap(({ photos }) => photos.map(({ choice }) => choice)),
	);
	return choices.findLast(({ surface, fieldWidthMm }) => surface === 'tray' && fieldWidthMm !== undefined);
}

function SpreadMass({ spread }: { readonly spread: ProductOnBoard['spreads'][number] }) {
	const unit = unitOf(spread.weighedUnit);
	const mass = spread.weighedMassKg;
	return (
		<section>
			<h2>Mass of the spread</h2>
			<p>
				{mass === undefined
					? 'Not weighed. It is not needed for a grade.'
					: `Weighed: ${printExactMass(mass, unit)}, dry.`}
			</p>
			<details>
				<summary>{mass === undefined ? 'Weigh it' : 'Change it'}</summary>
				<EntryForm action={saveSpreadMass} submit="Save mass">
					<input type="hidden" name="photoId" value={spread.photos[0]?.id ?? ''} />
					<div className="pair">
						<NumberField
							name="mass"
							label="Dry mass of what was spread"
							hint="Leave empty to take it away."
							initial={mass === undefined ? '' : printEntered(fromKg(mass, unit))}
						/>
						<SelectField
							name="unit"
							label="Unit"
							initial={unit}
							options={MASS_UNITS.map((value) => ({ value, label: UNIT_TEXT[value] }))}
						/>
					</div>
				</EntryForm>
			</details>
		</section>
	);
}
