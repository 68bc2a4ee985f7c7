'use client';

import { useField } from './EntryForm';
import { described, FieldFrame } from './Fields';

/** One file to choose. */
export function FileField({
	name,
	label,
	accept,
}: {
	readonly name: string;
	readonly label: string;
	readonly accept: string;
}) {
	const { problem } = useField(name, '');
	return (
		<FieldFrame name={name} label={label} problem={problem}>
			<input id={`field-${name}`} name={name} type="file" accept={accept} {...described(name, undefined, problem)} />
		</FieldFrame>
	);
}
