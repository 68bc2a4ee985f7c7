import Link from 'next/link';
import type { RunFile } from '@/lib/report/runFile';
import { CarryOverNote } from './CarryOverNote';

/** What can be done with a run once it is weighed and graded. */
export function RunOffice({
	runId,
	lotId,
	settings,
}: {
	readonly runId: string;
	readonly lotId: string;
	readonly settings: RunFile['settings'];
}) {
	return (
		<section>
			<h2>More about this run</h2>
			<CarryOverNote settings={settings} />
			<div className="actions">
				<Link className="button quiet" href={`/runs/${runId}/flow`}>
					Flow from feed to bins
				</Link>
				<Link className="button quiet" href={`/runs/${runId}/money`}>
					What it is worth
				</Link>
				<Link className="button quiet" href={`/runs/${runId}/rerun`}>
					Rerun the middlings?
				</Link>
				<Link className="button quiet" href={`/compare?lot=${lotId}`}>
					Compare runs
				</Link>
				<a className="button quiet" href={`/runs/${runId}/export/run.csv`} download>
					Save the account as a table (CSV)
				</a>
				<a className="button quiet" href={`/runs/${runId}/export/account.json`} download>
					Save the account as JSON
				</a>
			</div>
		</section>
	);
}
