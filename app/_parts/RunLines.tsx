import Link from 'next/link';
import { printDay } from '@/lib/report/format';
import type { RunLine } from '@/lib/store/runs';

/**
 * Runs as a list of links.
 *
 * @param ofOneLot - the page is the lot's own, so that its name need not stand in every line
 */
export function RunLines({
	runs,
	ofOneLot = false,
}: {
	readonly runs: readonly RunLine[];
	readonly ofOneLot?: boolean;
}) {
	return (
		<ul className="lines">
			{runs.map((run) => (
				<li key={run.id}>
					<Link className="line-link" href={`/runs/${run.id}`}>
						<span>
							{run.name}, {printDay(run.runDate)}
						</span>
						{ofOneLot ? null : <span className="soft">from {run.lotName}</span>}
						{run.demo ? <span className="demo-mark">demonstration</span> : null}
					</Link>
				</li>
			))}
		</ul>
	);
}
