'use client';

import { useState } from 'react';
import { MASS_UNITS } from '@/lib/quantity/units';
import { UNIT_TEXT } from '@/lib/report/format';
import { shownUnit } from '@/lib/report/presentation';
import { useAttempt, useField } from './EntryForm';
import { described, NumberField, SelectField, TextField } from './Fields';

/** None of them is chosen beforehand: what leaves a wet table is wet, and a weight that counts as dry unasked passes its water off as product. */
const KINDS = [
	{ value: 'allowance', label: 'Wet: allow for its water' },
	{ value: 'fraction', label: 'Wet: moisture known' },
	{ value: 'dried', label: 'Wet: sub-sample dried' },
	{ value: 'dry', label: 'Dry' },
] as const;

/** Gross, tare, scale and how wet it was. `prefix` keeps several weighings in one form apart. */
export function WeighingFields({
	prefix = '',
	initial = {},
	askMoisture = true,
	wetHint = 'Straight off the table it is wet. Counted as dry, its water passes for product.',
}: {
	readonly prefix?: string;
	readonly initial?: Readonly<Record<string, string>>;
	readonly askMoisture?: boolean;
	/** When it is wet, and what comes of it where that is not said. */
	readonly wetHint?: string;
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
			{askMoisture ? <MoistureFields prefix={prefix} initial={initial} hint={wetHint} /> : null}
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
	hint,
}: {
	readonly prefix: string;
	readonly initial: Readonly<Record<string, string>>;
	readonly hint: string;
}) {
	const at = (name: string) => `${prefix}${name}`;
	const from = (name: string) => initial[at(name)] ?? '';
	const name = at('moistureKind');
	const { value, problem } = useField(name, from('moistureKind'));
	const attempt = useAttempt();
	const [picked, pick] = useState<string | undefined>(undefined);
	const kind = picked ?? value;
	return (
		<>
			<fieldset className={problem === undefined ? 'plain' : 'plain wrong'} {...described(name, 'always', problem)}>
				<legend className="field-label">Wet or dry when weighed</legend>
				<p className="hint" id={`hint-${name}`}>
					{hint}
				</p>
				{problem === undefined ? null : (
					<p className="problem" id={`problem-${name}`}>
						{problem}
					</p>
				)}
				{KINDS.map((option, i) => (
					<label key={option.value} className="check">
						<input
							key={attempt}
							{...(i === 0 ? { id: `field-${name}` } : {})}
							type="radio"
							name={name}
							value={option.value}
							defaultChecked={option.value === kind}
							onChange={() => pick(option.value)}
						/>
						<span>{option.label}</span>
					</label>
				))}
			</fieldset>
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
					<NumberField
						name={at('water')}
						label="Water still held"
						hint="In the unit above. A guess will do."
						initial={from('water')}
					/>
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
