'use client';

import { useField } from './EntryForm';

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
		<div className={problem === undefined ? 'field' : 'field wrong'}>
			<label htmlFor={`field-${name}`}>{label}</label>
			{problem === undefined ? null : (
				<p className="problem" id={`problem-${name}`}>
					{problem}
				</p>
			)}
			<input
				id={`field-${name}`}
				name={name}
				type="file"
				accept={accept}
				{...(problem === undefined ? {} : { 'aria-invalid': true, 'aria-describedby': `problem-${name}` })}
			/>
		</div>
	);
}
