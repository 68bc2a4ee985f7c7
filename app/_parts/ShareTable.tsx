import type { Estimate } from '@/lib/quantity/quantity';
import { printShare } from '@/lib/report/format';
import type { Meaning } from '@/lib/report/meanings';
import { notKnown } from '@/lib/report/sentences';
import { IntervalPlot } from './IntervalPlot';
import { MeaningOf } from './MeaningOf';

/** One line of a table of shares. */
export interface ShareLine {
	readonly name: string;
	readonly share: Estimate;
	/** A second figure to compare with, such as the plain density-only one. */
	readonly beside?: Estimate;
	readonly meaning?: Meaning;
}

/** Shares with their ranges, in numbers and as lines on one axis from 0 to 100 %. */
export function ShareTable({
	caption,
	lines,
	besideHead,
}: {
	readonly caption: string;
	readonly lines: readonly ShareLine[];
	readonly besideHead?: string;
}) {
	return (
		<table className="stack">
			<caption>{caption}</caption>
			<thead>
				<tr>
					<th scope="col">Part</th>
					<th scope="col">Share (range)</th>
					<th scope="col">0 to 100 %</th>
					{besideHead === undefined ? null : <th scope="col">{besideHead}</th>}
				</tr>
			</thead>
			<tbody>
				{lines.map(({ name, share, beside, meaning }) => (
					<tr key={name}>
						<th scope="row">
							{name}
							{meaning === undefined ? null : <MeaningOf name={name} meaning={meaning} />}
						</th>
						<td className="wide">{printShare(share)}</td>
						<td className="wide">
							<IntervalPlot share={share} label={name} />
						</td>
						{besideHead === undefined ? null : (
							<td data-head={besideHead} {...(beside?.belowDetectionLimit ? { className: 'words' } : {})}>
								{beside === undefined ? notKnown : printShare(beside)}
							</td>
						)}
					</tr>
				))}
			</tbody>
		</table>
	);
}
