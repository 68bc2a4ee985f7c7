import { PrintButton } from './PrintButton';

/** A record to take away: on paper, as data, as a table. */
export function RecordFiles({ address }: { readonly address: string }) {
	return (
		<div className="actions">
			<a className="button quiet" href={`${address}/A4.pdf`}>
				PDF, A4
			</a>
			<a className="button quiet" href={`${address}/Letter.pdf`}>
				PDF, US Letter
			</a>
			<a className="button quiet" href={`${address}/record.json`} download>
				Data file (JSON)
			</a>
			<a className="button quiet" href={`${address}/record.csv`} download>
				Table (CSV)
			</a>
			<PrintButton />
		</div>
	);
}
