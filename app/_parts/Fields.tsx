'use client';

import type { ReactNode } from 'react';
import { useAttempt, useField } from './EntryForm';

interface FieldProps {
	readonly name: string;
	readonly label: string;
	readonly initial?: string;
	/** One line under the label. */
	readonly hint?: ReactNode;
}

/** Label above, hint and problem below it, then the control. */
export function FieldFrame({
	name,
	label,
	hint,
	problem,
	children,
}: FieldProps & { problem?: string | undefined; children: ReactNode }) {
	return (
		<div className={problem === undefined ? 'field' : 'field wrong'}>
			<label htmlFor={`field-${name}`}>{label}</label>
			{hint === undefined ? null : (
				<p className="hint" id={`hint-${name}`}>
					{hint}
				</p>
			)}
			{problem === undefined ? null : (
				<p className="problem" id={`problem-${name}`}>
					{problem}
				</p>
			)}
			{children}
		</div>
	);
}

/** What a control says of its hint and its problem to who can't see them. */
export function described(name: string, hint: unknown, problem: string | undefined) {
	const ids = [hint === undefined ? '' : `hint-${name}`, problem === undefined ? '' : `problem-${name}`];
	const text = ids.filter(Boolean).join(' ');
	return {
		...(text === '' ? {} : { 'aria-describedby': text }),
		...(problem === undefined ? {} : { 'aria-invalid': true as const }),
	};
}

/** One line of text. */
export function TextField(props: FieldProps & { readonly type?: 'text' | 'date'; readonly longest?: number }) {
	const { name, initial = '', hint, type = 'text', longest } = props;
	const { value, problem } = useField(name, initial);
	return (
		<FieldFrame {...props} problem={problem}>
			<input
				id={`field-${name}`}
				name={name}
				type={type}
				defaultValue={value}
				autoComplete="off"
				{...(longest === undefined ? {} : { maxLength: longest })}
				{...described(name, hint, problem)}
			/>
		</FieldFrame>
	);
}

/** A number typed by hand: decimal keypad, comma or point; the unit stands outside the field. */
export function NumberField(props: FieldProps & { readonly unit?: string }) {
	const { name, initial = '', hint, unit } = props;
	const { value, problem } = useField(name, initial);
	return (
		<FieldFrame {...props} problem={problem}>
			<span className="with-unit">
				<input
					id={`field-${name}`}
					name={name}
					type="text"
					inputMode="decimal"
					defaultValue={value}
					autoComplete="off"
					{...described(name, hint, problem)}
				/>
				{unit === undefined ? null : <span className="unit">{unit}</span>}
			</span>
		</FieldFrame>
	);
}

/** Several lines of text. */
export function NotesField(props: FieldProps) {
	const { name, initial = '', hint } = props;
	const { value, problem } = useField(name, initial);
	return (
		<FieldFrame {...props} problem={problem}>
			<textarea id={`field-${name}`} name={name} rows={3} defaultValue={value} {...described(name, hint, problem)} />
		</FieldFrame>
	);
}

/** One of a list. */
export function SelectField(
	props: FieldProps & { readonly options: readonly { readonly value: string; readonly label: string }[] },
) {
	const { name, initial = '', hint, options } = props;
	const { value, problem } = useField(name, initial);
	const attempt = useAttempt();
	return (
		<FieldFrame {...props} problem={problem}>
			<select key={attempt} id={`field-${name}`} name={name} defaultValue={value} {...described(name, hint, problem)}>
				{options.map((option) => (
					<option key={option.value} value={option.value}>
						{option.label}
					</option>
				))}
			</select>
		</FieldFrame>
	);
}

/** Yes or no. @param isAskedFor - it shows only once it is named as a problem */
export function CheckField({ name, label, initial = '', isAskedFor = false }: FieldProps & { isAskedFor?: boolean }) {
	const { value, problem } = useField(name, initial);
	const attempt = useAttempt();
	if (isAskedFor && problem === undefined && value !== 'yes') return null;
	return (
		<label className="check">
			<input
				key={attempt}
				id={`field-${name}`}
				type="checkbox"
				name={name}
				value="yes"
				defaultChecked={value === 'yes'}
			/>
			<span>{label}</span>
		</label>
	);
}
