import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { readAgain } from '@/app/_actions/photoActions';
import { throwAwayQuickCheck } from '@/app/_actions/quickActions';
import { idOf } from '@/app/_forms/idOf';
import { ActionButton } from '@/app/_parts/ActionButton';
import { KeepQuickCheck } from '@/app/_parts/KeepQuickCheck';
import { PhotoPicture } from '@/app/_parts/PhotoPicture';
import { QuickOnItsWay } from '@/app/_parts/QuickOnItsWay';
import { QuickSteps } from '@/app/_parts/QuickSteps';
import { ReadingForm } from '@/app/_parts/ReadingForm';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { WarningNote } from '@/app/_parts/WarningNote';
import { printDayOf } from '@/lib/report/printMoment';
import { HELD_SENTENCES } from '@/lib/report/progressSentences';
import { COVERAGE_SENTENCE, gradeSentences } from '@/lib/report/sentences';
import { getAnalyses } from '@/lib/store/analyses';
import { DEFAULT_MATERIAL_NAME, listMaterials } from '@/lib/store/materials';
import type { Photo } from '@/lib/store/photos';
import { progressOf } from '@/lib/store/progress';
import { findQuickCheck } from '@/lib/store/quickChecks';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Quick check' };

/** One quick check: the photo on its way, then its grade, then what to do with it. */
export default async function QuickCheckPage({ params }: PageProps<'/quick/[checkId]'>) {
	const { store, pool } = await theStore();
	const id = checkIdOf((await params).checkId);
	const progress = await progressOf(store, QUICK_RUN_ID, pool.size);
	const check = await findQuickCheck(store, id);
	const photo = check?.photos[0];
	const state = photo?.state.kind;
	return (
		<>
			<Trail steps={[{ href: '/quick', label: 'Quick checks' }]} />
			<h1>{photo === undefined ? 'Quick check' : `Quick check: ${photo.originalName}`}</h1>
			<QuickSteps now={state === 'graded' ? 'keep' : 'grade'} />
			{check === undefined ? null : <p className="soft">{printDayOf(check.name)}</p>}
			<ReadingProgress run={QUICK_RUN_ID} initial={progress} />
			{photo?.state.kind === 'graded' ? <Grade photo={photo} analysisKey={photo.state.analysisKey} /> : null}
			{photo?.state.kind === 'refused' ? <Refused photo={photo} {...photo.state} /> : null}
			{photo?.state.kind === 'held' ? (
				<div className="note">
					<p>{HELD_SENTENCES[photo.state.why]}</p>
					<ActionButton action={readAgain} id={photo.id} className="button main">
						Read it now
					</ActionButton>
				</div>
			) : null}
			{state === 'graded' || state === 'refused' ? null : <QuickOnItsWay check={id} hasComeIn={photo !== undefined} />}
			{state === 'graded' ? <KeepQuickCheck id={id} /> : null}
			{check === undefined ? null : (
				<ActionButton action={throwAwayQuickCheck} id={id}>
					Throw this check away
				</ActionButton>
			)}
		</>
	);
}

function checkIdOf(given: string): string {
	try {
		return idOf(given);
	} catch {
		return notFound();
	}
}

async function Grade({ photo, analysisKey }: { readonly photo: Photo; readonly analysisKey: string }) {
	const { store } = await theStore();
	const analysis = (await getAnalyses(store, [analysisKey])).get(analysisKey);
	if (analysis === undefined) return null;
	const [first, ...rest] = gradeSentences(analysis.massFraction);
	return (
		<>
			<p className="grade-line">{first}</p>
			<p className="lead">{rest.join(' ')}</p>
			<p className="soft">{COVERAGE_SENTENCE} From one photo of one scoop: more scoops narrow the range.</p>
			{analysis.warnings.map((warning) => (
				<WarningNote key={warning.code} warning={warning} />
			))}
			<figure className="narrow">
				<PhotoPicture id={photo.id} />
			</figure>
			<div className="actions">
				<Link className="button" href={`/runs/${QUICK_RUN_ID}/spreads/${photo.spreadId}`}>
					See what was counted
				</Link>
				<Link className="button" href="/quick">
					Another quick check
				</Link>
			</div>
		</>
	);
}

async function Refused(props: { readonly photo: Photo; readonly message: string; readonly hint: string }) {
	const { photo, message, hint } = props;
	const { store } = await theStore();
	const materials = await listMaterials(store);
	return (
		<>
			<div className="note refused" role="alert">
				<p>
					<strong>{message}</strong> {hint}
				</p>
			</div>
			<figure className="narrow">
				<PhotoPicture id={photo.id} />
			</figure>
			<section>
				<h2>Read it in another way</h2>
				<ReadingForm
					photoId={photo.id}
					choice={photo.choice}
					materials={materials.map(({ name }) => name)}
					runMaterial={DEFAULT_MATERIAL_NAME}
				/>
			</section>
		</>
	);
}
