import type { Problem } from '@/app/_forms/formState';
import { printRefusal } from '@/lib/report/format';

/** A number in a form that is sent in the page's address, with what is wrong with it. */
export function AddressField({
	name,
	label,
	typed,
	problems,
}: {
	readonly name: string;
	readonly label: string;
	readonly typed: Readonly<Record<string, string>>;
	readonly problems: readonly Problem[];
}) {
	const problem = problems.find(({ field }) => field === name)?.message;
	return (
		<div className={problem === undefined ? 'field' : 'field wrong'}>
			<label htmlFor={`field-${name}`}>{label}</label>
			{problem === undefined ? null : (
				<p className="problem" id={`problem-${name}`}>
					{printRefusal(problem)}
				</p>
			)}
			<input
				id={`field-${name}`}
				name={name}
				type="text"
				inputMode="decimal"
				defaultValue={typed[name] ?? ''}
				{...(problem === undefined ? {} : { 'aria-invalid': true, 'aria-describedby': `problem-${name}` })}
			/>
		</div>
	);
}
