import type { Estimate } from '@/lib/quantity/quantity';
import type { Meaning } from '@/lib/report/meanings';
import { IntervalPlot } from './IntervalPlot';
import { MeaningOf } from './MeaningOf';

/** A figure that a page leads with: in words with its range, as a small plot, and what it means. */
export function FigureLine(props: {
	readonly name: string;
	readonly words: string;
	readonly share: Estimate | undefined;
	readonly meaning: Meaning;
}) {
	const { name, words, share, meaning } = props;
	return (
		<div className="figure-line">
			<p className="lead">{words}</p>
			{share === undefined ? null : <IntervalPlot share={share} label={name} isLabelled />}
			<MeaningOf name={name} meaning={meaning} />
		</div>
	);
}
