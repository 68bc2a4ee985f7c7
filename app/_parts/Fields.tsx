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
function Field({ name, label, hint, problem, children }: FieldProps & { problem?: string; children: ReactNode }) {
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

function described(name: string, hint: unknown, problem: string | undefined) {
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
		<Field {...props} {...(problem === undefined ? {} : { problem })}>
			<input
				id={`field-${name}`}
				name={name}
				type={type}
				defaultValue={value}
				autoComplete="off"
				{...(longest === undefined ? {} : { maxLength: longest })}
				{...described(name, hint, problem)}
			/>
		</Field>
	);
}

/** A number typed by hand: decimal keypad, comma or point; the unit stands outside the field. */
export function NumberField(props: FieldProps & { readonly unit?: string }) {
	const { name, initial = '', hint, unit } = props;
	const { value, problem } = useField(name, initial);
	return (
		<Field {...props} {...(problem === undefined ? {} : { problem })}>
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
		</Field>
	);
}

/** Several lines of text. */
export function NotesField(props: FieldProps) {
	const { name, initial = '', hint } = props;
	const { value, problem } = useField(name, initial);
	return (
		<Field {...props} {...(problem === undefined ? {} : { problem })}>
			<textarea id={`field-${name}`} name={name} rows={3} defaultValue={value} {...described(name, hint, problem)} />
		</Field>
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
		<Field {...props} {...(problem === undefined ? {} : { problem })}>
			<select key={attempt} id={`field-${name}`} name={name} defaultValue={value} {...described(name, hint, problem)}>
				{options.map((option) => (
					<option key={option.value} value={option.value}>
						{option.label}
					</option>
				))}
			</select>
		</Field>
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
