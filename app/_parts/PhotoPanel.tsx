import Link from 'next/link';
import { deletePhoto, readAgain } from '@/app/_actions/photoActions';
import { GRADED, MATERIAL_CLASSES } from '@/lib/material/classes';
import { printBytes, printPercent, printSentence, printWithUnit } from '@/lib/report/format';
import { AREA_MEANING, gradeMeaning } from '@/lib/report/meanings';
import { HELD_SENTENCES } from '@/lib/report/progressSentences';
import { CLASS_NAMES, GRADED_NAMES, lightSentence, METHOD_NAMES, SURFACE_NAMES } from '@/lib/report/sentences';
import type { ReadPhoto } from '@/lib/store/workedRun';
import { ActionButton } from './ActionButton';
import { PhotoPicture } from './PhotoPicture';
import { ReadingForm } from './ReadingForm';
import { ShareTable } from './ShareTable';
import { SpreadViewer } from './SpreadViewer';
import { WarningNote } from './WarningNote';

type Analysis = NonNullable<ReadPhoto['analysis']>;

/** One photo: the picture, what was seen on it, its shares, its warnings, and how to have it read in another way. */
export function PhotoPanel({
	photo,
	materials,
	runMaterial,
	tray,
}: {
	readonly photo: ReadPhoto;
	readonly materials: readonly string[];
	readonly runMaterial: string;
	/** How a photo of the run is read that lies on a tray of known size. */
	readonly tray: ReadPhoto['choice'] | undefined;
}) {
	const { analysis, state } = photo;
	return (
		<section id={`photo-${photo.id}`} aria-label={`Photo ${photo.originalName}`}>
			<h2>Photo {photo.originalName}</h2>
			{state.kind === 'refused' ? <Refused id={photo.id} message={state.message} hint={state.hint} /> : null}
			{state.kind === 'held' ? <Held id={photo.id} why={state.why} /> : null}
			{state.kind === 'queued' ? <p role="status">Waits to be read.</p> : null}
			{state.kind === 'reading' ? <p role="status">Is being read.</p> : null}
			{analysis?.warnings.map((warning) => (
				<WarningNote key={warning.code} warning={warning} />
			))}
			{analysis === undefined ? (
				<figure className="narrow">
					<PhotoPicture id={photo.id} />
				</figure>
			) : (
				<SpreadViewer
					id={photo.id}
					version={state.kind === 'graded' ? state.analysisKey.slice(0, 12) : ''}
					photo={{ width: analysis.widthPx, height: analysis.heightPx }}
				/>
			)}
			{analysis === undefined ? null : <Figures analysis={analysis} />}
			<div className="actions">
				<Link className="button" href={`/teach/${photo.id}`}>
					Teach what is what on this photo
				</Link>
			</div>
			<details open={state.kind === 'refused'}>
				<summary>Read this photo in another way</summary>
				<ReadingForm
					photoId={photo.id}
					choice={photo.choice}
					materials={materials}
					runMaterial={runMaterial}
					{...(analysis === undefined ? {} : { found: analysis.cornersPx })}
					{...(tray === undefined ? {} : { tray })}
				/>
			</details>
			<p className="soft">
				Original kept unchanged: {printBytes(photo.sizeBytes)}, SHA-256 {photo.sha256.slice(0, 12)} …
			</p>
			<ActionButton action={deletePhoto} id={photo.id}>
				Remove this photo
			</ActionButton>
		</section>
	);
}

function Refused({ id, message, hint }: { readonly id: string; readonly message: string; readonly hint: string }) {
	return (
		<div className="note refused" role="alert">
			<p>
				<strong>{printSentence(message)}</strong> {printSentence(hint)} <Link href="/help/shooting">How to shoot</Link>
			</p>
			<ActionButton action={readAgain} id={id} className="button small">
				Read it again as it is
			</ActionButton>
		</div>
	);
}

function Held({ id, why }: { readonly id: string; readonly why: keyof typeof HELD_SENTENCES }) {
	return (
		<div className="note">
			<p>{HELD_SENTENCES[why]}</p>
			<ActionButton action={readAgain} id={id} className="button small">
				{why === 'setAside' ? 'Count this photo too' : 'Read it now'}
			</ActionButton>
		</div>
	);
}

function Figures({ analysis }: { readonly analysis: Analysis }) {
	const { reading } = analysis;
	const pieces = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
	return (
		<>
			<ShareTable
				caption="Shares of the dry mass, from this photo alone"
				lines={GRADED.map((name) => ({
					name: GRADED_NAMES[name],
					share: analysis.massFraction[name],
					beside: analysis.densityOnlyMassFraction[name],
					meaning: gradeMeaning(name),
				}))}
				besideHead="If all pieces were equally thick"
			/>
			<details>
				<summary>Areas and classes</summary>
				<ShareTable
					caption="Classes of pieces: share of area, and of mass"
					lines={MATERIAL_CLASSES.map((name) => ({
						name: CLASS_NAMES[name],
						share: analysis.areaFraction[name],
						beside: analysis.classMassFraction[name],
						meaning: AREA_MEANING,
					}))}
					besideHead="Share of mass"
				/>
			</details>
			<dl className="figures">
				<dt>Surface</dt>
				<dd>
					{SURFACE_NAMES[analysis.surface]}, field {printWithUnit(analysis.fieldWidthMm, 'mm', 0)} by{' '}
					{printWithUnit(analysis.fieldHeightMm, 'mm', 0)}
					{analysis.surface === 'tray' ? ' clear of its walls' : ''}
				</dd>
				<dt>Scale</dt>
				<dd>{printWithUnit(analysis.pxPerMm, 'pixels per mm')}</dd>
				<dt>Light</dt>
				<dd>{lightSentence(analysis.light)}</dd>
				<dt>Field covered</dt>
				<dd>{printPercent(reading.coverageFraction)}</dd>
				<dt>Pieces counted</dt>
				<dd>{printWithUnit(pieces, 'pieces', 0)}</dd>
				<dt>Method used</dt>
				<dd>{METHOD_NAMES[analysis.method]}</dd>
			</dl>
		</>
	);
}
