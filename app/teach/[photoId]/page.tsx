import type { Metadata } from 'next';
import Link from 'next/link';
import { beginTeaching, readWithLessons } from '@/app/_actions/teachActions';
import { EntryForm } from '@/app/_parts/EntryForm';
import { CheckField, SelectField, TextField } from '@/app/_parts/Fields';
import { findOr404 } from '@/app/_parts/findOr404';
import { TeachScreen } from '@/app/_parts/TeachScreen';
import { Trail } from '@/app/_parts/Trail';
import { TrayError } from '@/lib/errors/TrayError';
import { modelTaughtSentence } from '@/lib/report/teachSentences';
import { getPhoto, type Photo } from '@/lib/store/photos';
import { getProduct } from '@/lib/store/products';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { getRun } from '@/lib/store/runs';
import { fieldOf, lessonsOf, listTaught } from '@/lib/store/teaching';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Teach' };

/** Teach on a photo what is what, by tapping; first the name that it is kept under. */
export default async function Teach({ params, searchParams }: PageProps<'/teach/[photoId]'>) {
	const { store, pool } = await theStore();
	const photo = await findOr404((await params).photoId, (id) => getPhoto(store, id));
	const run = await getRun(store, photo.runId);
	const { material } = await searchParams;
	const steps = [
		{ href: `/runs/${run.id}`, label: run.name },
		{ href: `/runs/${run.id}/spreads/${photo.spreadId}`, label: `Photo ${photo.originalName}` },
	];
	if (typeof material !== 'string')
		return <ChooseName photoId={photo.id} own={run.material} steps={steps} {...(await listTaught(store))} />;
	const lessons = await lessonsOf(store, material);
	const told = modelTaughtSentence(lessons);
	const field = await fieldOf(store, pool, photo.id).catch((error: unknown) => {
		if (error instanceof TrayError) return error;
		throw error;
	});
	return (
		<>
			<Trail steps={steps} />
			<h1>Teach {lessons.name}</h1>
			{field instanceof TrayError ? (
				<div className="note refused">
					<p>
						<strong>{field.message}</strong> {field.hint}
					</p>
					<p>
						<Link href={`/runs/${run.id}/spreads/${photo.spreadId}`}>Set the corners on the photo&rsquo;s page</Link>{' '}
						first.
					</p>
				</div>
			) : (
				<TeachScreen
					photoId={photo.id}
					field={field}
					name={lessons.name}
					base={lessons.base}
					kept={lessons.spots}
					{...(isCounted(photo, run.id) ? { countsFor: (await getProduct(store, photo.productId)).name } : {})}
				/>
			)}
			<section>
				<h2>Read with it</h2>
				<p className="narrow">
					Photos that use {lessons.name} are read again with the spots as they are now. The outlines that follow your
					spots go by colour alone; where the trained model reads a photo, it follows the spots only where it calls some
					of them wrongly and six or more clearly teach it better. Look at the outlines on the photo&rsquo;s own page
					afterwards.
				</p>
				{told === undefined ? null : <p className="narrow">{told}</p>}
				<EntryForm action={readWithLessons} submit="Read with what was taught">
					<input type="hidden" name="photoId" value={photo.id} />
					<input type="hidden" name="material" value={lessons.name} />
					{run.material === lessons.name ? null : (
						<CheckField name="forRun" label={`Use ${lessons.name} for ${run.name} from now on`} initial="yes" />
					)}
				</EntryForm>
			</section>
		</>
	);
}

/** A quick check is no bin, and what could not be read or was left out counts in none. */
function isCounted({ state }: Photo, runId: string): boolean {
	return runId !== QUICK_RUN_ID && state.kind !== 'refused' && state.kind !== 'held';
}

function ChooseName(props: {
	readonly photoId: string;
	/** What the run's photos are read with. */
	readonly own: string;
	readonly steps: readonly { readonly href: string; readonly label: string }[];
	readonly taught: readonly string[];
	readonly bases: readonly string[];
}) {
	const { photoId, own, steps, taught, bases } = props;
	const options = (names: readonly string[]) => names.map((value) => ({ value, label: value }));
	return (
		<>
			<Trail steps={steps} />
			<h1>Teach what is what</h1>
			<p className="lead narrow">
				Tap spots on the photo and say what they are. Colours that are taught are kept under a name, and every run can
				be read with them.
			</p>
			<EntryForm action={beginTeaching} submit="On to the photo">
				<input type="hidden" name="photoId" value={photoId} />
				{taught.length === 0 ? null : (
					<SelectField
						name="known"
						label="Go on with"
						options={[{ value: '', label: 'Nothing: begin a new one' }, ...options(taught)]}
						initial={taught.includes(own) ? own : ''}
					/>
				)}
				<TextField
					name="name"
					label={taught.length === 0 ? 'Name' : 'Name of the new one'}
					hint="The supplier or the kind of cable, for example."
					longest={80}
				/>
				<SelectField
					name="base"
					label="Starts from"
					hint="Densities and thicknesses are taken from it, and the colours that you do not teach."
					options={options(bases)}
					initial={bases[0] ?? ''}
				/>
			</EntryForm>
		</>
	);
}
