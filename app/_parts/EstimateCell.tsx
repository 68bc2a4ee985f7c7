import type { Estimate } from '@/lib/quantity/quantity';
import {
	isUntold,
	limitWords,
	printEstimate,
	printLimit,
	printMassEstimate,
	printMassLimit,
	printPercentEstimate,
	printRatioEstimate,
	printRatioLimit,
} from '@/lib/report/format';
import { notKnown } from '@/lib/report/sentences';

/**
 * A table's cell: best value with its range below it. On a narrow screen the column's head stands before it.
 *
 * @param percent - the estimate is a share and is shown in per cent
 * @param ratio - the estimate is a bare ratio
 * @param mass - the estimate is in kilograms and the head is made by `massHead`
 */
export function EstimateCell({
	head,
	estimate,
	percent = false,
	ratio = false,
	mass = false,
}: {
	readonly head: string;
	readonly estimate: Estimate | undefined;
	readonly percent?: boolean;
	readonly ratio?: boolean;
	readonly mass?: boolean;
}) {
	if (estimate === undefined) return <TextCell head={head}>{notKnown}</TextCell>;
	if (percent && isUntold(estimate)) return <PairCell head={head} first="0 to 100" second={limitWords(estimate)} />;
	if (estimate.belowDetectionLimit) {
		const limit = percent ? printLimit(estimate) : ratio ? printRatioLimit(estimate) : printMassLimit(estimate);
		return <PairCell head={head} first={`under ${limit}`} second="below detection" />;
	}
	const { value, low, high } = percent
		? printPercentEstimate(estimate)
		: ratio
			? printRatioEstimate(estimate)
			: mass
				? printMassEstimate(estimate)
				: printEstimate(estimate);
	return <PairCell head={head} first={value} second={`${low} to ${high}`} />;
}

/** Two lines in a cell, the second softer. */
export function PairCell({
	head,
	first,
	second,
}: {
	readonly head: string;
	readonly first: string;
	readonly second: string;
}) {
	return (
		<td className="number" data-head={head}>
			<span>
				{first}
				<span className="range">{second}</span>
			</span>
		</td>
	);
}

/** Plain words in a cell of numbers. */
export function TextCell({ head, children }: { readonly head: string; readonly children: string }) {
	return (
		<td className="number soft" data-head={head}>
			{children}
		</td>
	);
}
