import type { Problem } from '@/app/_forms/formState';
import { printRefusal } from '@/lib/report/format';

/** What is to be mended in a form, each with a link to its field. */
export function ProblemList({ problems }: { readonly problems: readonly Problem[] }) {
	return (
		<ul>
			{problems.map(({ field, message }) => {
				const told = printRefusal(message);
				return <li key={field + message}>{field === '' ? told : <a href={`#field-${field}`}>{told}</a>}</li>;
			})}
		</ul>
	);
}
