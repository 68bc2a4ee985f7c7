import { Trail } from './Trail';

/** The way back from a bin at the table: its run, and the run's bins. */
export function TableTrail({ id, name }: { readonly id: string; readonly name: string }) {
	return (
		<Trail
			steps={[
				{ href: `/runs/${id}`, label: name },
				{ href: `/runs/${id}/table`, label: 'At the table' },
			]}
		/>
	);
}
