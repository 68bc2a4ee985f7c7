'use client';

import { useState } from 'react';
import { MASS_UNITS } from '@/lib/quantity/units';
import { UNIT_TEXT } from '@/lib/report/format';
import { shownUnit } from '@/lib/report/presentation';
import { useAttempt, useField } from './EntryForm';
import { NumberField, SelectField, TextField } from './Fields';

const KINDS = [
	{ value: 'dry', label: 'Dry when weighed' },
	{ value: 'fraction', label: 'Wet: moisture known, %' },
	{ value: 'dried', label: 'Wet: sub-sample dried' },
	{ value: 'allowance', label: 'Drained: allow for water' },
] as const;

/** Gross, tare, scale and how wet it was. `prefix` keeps several weighings in one form apart. */
export function WeighingFields({
	prefix = '',
	initial = {},
	askMoisture = true,
}: {
	readonly prefix?: string;
	readonly initial?: Readonly<Record<string, string>>;
	readonly askMoisture?: boolean;
}) {
	const at = (name: string) => `${prefix}${name}`;
	const from = (name: string, otherwise = '') => initial[at(name)] ?? otherwise;
	return (
		<>
			<div className="pair">
				<NumberField name={at('gross')} label="Gross weight" hint="Bin and content together." initial={from('gross')} />
				<NumberField
					name={at('tare')}
					label="Tare"
					hint="The empty bin, as wet as it is used. Leave empty if the scale was set to zero with it."
					initial={from('tare')}
				/>
				<SelectField
					name={at('unit')}
					label="Unit"
					initial={from('unit', shownUnit('kg'))}
					options={MASS_UNITS.map((value) => ({ value, label: UNIT_TEXT[value] }))}
				/>
			</div>
			{askMoisture ? <MoistureFields prefix={prefix} initial={initial} /> : null}
			<ScaleFields prefix={prefix} initial={initial} />
		</>
	);
}

/** Rarely needed: folded away unless something stands in it or is wrong with it. */
function ScaleFields({
	prefix,
	initial,
}: {
	readonly prefix: string;
	readonly initial: Readonly<Record<string, string>>;
}) {
	const at = (name: string) => `${prefix}${name}`;
	const from = (name: string) => initial[at(name)] ?? '';
	const resolution = useField(at('resolution'), from('resolution'));
	const scale = useField(at('scale'), from('scale'));
	const isUsed = [resolution.value, resolution.problem, scale.value, scale.problem].some(Boolean);
	return (
		<details open={isUsed}>
			<summary>About the scale</summary>
			<NumberField
				name={at('resolution')}
				label="Smallest step of the scale (optional)"
				hint="In the same unit. Left empty, the last digit typed counts."
				initial={from('resolution')}
			/>
			<TextField
				name={at('scale')}
				label="Which scale (optional)"
				hint="What was weighed on one scale shares that scale's own error."
				initial={from('scale')}
			/>
		</details>
	);
}

function MoistureFields({
	prefix,
	initial,
}: {
	readonly prefix: string;
	readonly initial: Readonly<Record<string, string>>;
}) {
	const at = (name: string) => `${prefix}${name}`;
	const from = (name: string) => initial[at(name)] ?? '';
	const { value } = useField(at('moistureKind'), from('moistureKind') || 'dry');
	const attempt = useAttempt();
	const [picked, pick] = useState<string | undefined>(undefined);
	const kind = picked ?? value;
	return (
		<>
			<div className="field">
				<label htmlFor={`field-${at('moistureKind')}`}>Wet or dry</label>
				<p className="hint" id={`hint-${at('moistureKind')}`}>
					{kind === 'dry'
						? 'All of the weight counts as dry. Straight off the table it holds water: then say so here, or the water counts as product.'
						: 'Water is taken off the weight.'}
				</p>
				<select
					key={attempt}
					id={`field-${at('moistureKind')}`}
					aria-describedby={`hint-${at('moistureKind')}`}
					name={at('moistureKind')}
					defaultValue={kind}
					onChange={(event) => pick(event.target.value)}
				>
					{KINDS.map((option) => (
						<option key={option.value} value={option.value}>
							{option.label}
						</option>
					))}
				</select>
			</div>
			{kind === 'fraction' ? (
				<NumberField
					name={at('moisturePercent')}
					label="Moisture"
					hint="Water as a share of the wet weight."
					unit="%"
					initial={from('moisturePercent')}
				/>
			) : null}
			{kind === 'dried' ? (
				<div className="pair">
					<NumberField
						name={at('wet')}
						label="Sub-sample, wet"
						hint="In the unit above, or write it: 412 g."
						initial={from('wet')}
					/>
					<NumberField name={at('dry')} label="Sub-sample, dried" initial={from('dry')} />
				</div>
			) : null}
			{kind === 'allowance' ? (
				<div className="pair">
					<NumberField name={at('water')} label="Water still held" hint="In the unit above." initial={from('water')} />
					<NumberField
						name={at('waterU')}
						label="How far off that may be"
						hint="One standard uncertainty. Left empty, as much as the water itself."
						initial={from('waterU')}
					/>
				</div>
			) : null}
		</>
	);
}
