'use client';

import { useState } from 'react';
import { saveReading } from '@/app/_actions/photoActions';
import { printEntered } from '@/lib/report/format';
import type { ReadingChoice } from '@/lib/store/entries';
import { CornerEditor } from './CornerEditor';
import { EntryForm, useAttempt, useField } from './EntryForm';
import { NumberField, SelectField } from './Fields';

const SURFACES = [
	{ value: 'auto', label: 'Find the mat by its corner marks' },
	{ value: 'tray', label: 'A plain tray: I set its corners' },
] as const;

const METHODS = [
	{ value: 'auto', label: 'Trained model, else colours' },
	{ value: 'threshold', label: 'Colours alone' },
	{ value: 'model', label: 'Trained model alone' },
] as const;

/** How a photo is to be read: surface, corners, material, method. */
export function ReadingForm(props: {
	readonly photoId: string;
	readonly choice: ReadingChoice;
	readonly materials: readonly string[];
	readonly runMaterial: string;
	/** Corners as found on the photo, to start from. */
	readonly found?: readonly number[];
	/** How another photo of the run is read, on a tray of known size: this one lies on the same tray as a rule. */
	readonly tray?: ReadingChoice;
}) {
	const { photoId, choice, materials, runMaterial, found, tray } = props;
	const own = { value: '', label: `As set before: ${runMaterial}` };
	return (
		<EntryForm action={saveReading} submit="Read it this way">
			<input type="hidden" name="id" value={photoId} />
			<SurfaceFields
				photoId={photoId}
				choice={choice}
				{...(found === undefined ? {} : { found })}
				{...(tray === undefined ? {} : { tray })}
			/>
			<SelectField
				name="material"
				label="Material"
				hint="Its colours tell the classes apart on this photo. Masses are reckoned with the one set before."
				initial={choice.material ?? ''}
				options={[own, ...materials.map((value) => ({ value, label: value }))]}
			/>
			<SelectField name="method" label="Method" initial={choice.method} options={METHODS} />
		</EntryForm>
	);
}

function SurfaceFields({
	photoId,
	choice,
	found,
	tray,
}: {
	readonly photoId: string;
	readonly choice: ReadingChoice;
	readonly found?: readonly number[];
	readonly tray?: ReadingChoice;
}) {
	const { value } = useField('surface', choice.surface === 'tray' ? 'tray' : 'auto');
	const attempt = useAttempt();
	const [picked, pick] = useState<string | undefined>(undefined);
	const surface = picked ?? value;
	const size = (mm: number | undefined) => (mm === undefined ? '' : printEntered(mm));
	const corners = choice.corners ?? found;
	const sized = choice.fieldWidthMm === undefined ? tray : choice;
	return (
		<>
			<div className="field">
				<label htmlFor="field-surface">What the spread lies on</label>
				<select
					key={attempt}
					id="field-surface"
					name="surface"
					defaultValue={surface}
					onChange={(event) => pick(event.target.value)}
				>
					{SURFACES.map((option) => (
						<option key={option.value} value={option.value}>
							{option.label}
						</option>
					))}
				</select>
			</div>
			{surface === 'tray' ? (
				<>
					<CornerEditor photoId={photoId} {...(corners === undefined ? {} : { corners })} />
					{sized === tray && tray !== undefined ? (
						<p className="hint">The size is that of the tray set last in this run. Change it for another one.</p>
					) : null}
					<div className="pair">
						<NumberField
							name="fieldWidthMm"
							label="Inner width of the tray"
							hint="Between the two corners on the left and the right of the picture's top."
							unit="mm"
							initial={size(sized?.fieldWidthMm)}
						/>
						<NumberField
							name="fieldHeightMm"
							label="Inner height of the tray"
							unit="mm"
							initial={size(sized?.fieldHeightMm)}
						/>
					</div>
				</>
			) : null}
		</>
	);
}
