import { type Drawn, drawnFrom, estimateOfDrawn, sumOfDrawn } from '../balance/drawn';
import type { AfterPasses } from '../balance/rerunCircuit';
import type { Estimate } from '../quantity/quantity';
import { marginLinesOf, ratesOf } from './marginModel';
import { FEED_COSTS, type PriceSheet } from './priceSheet';
import { SOLD_PARTS, soldOf } from './soldDraws';

/** What feeding the middlings again brings against leaving them as they are, per kilogram of fresh waste. */
export interface RerunValue {
	/** What is done with middlings that are not fed again. */
	readonly middlings: 'kept' | 'sold';
	readonly gainPerKg: Estimate;
	/** Probability that it brings more than it costs. */
	readonly probabilityPays: number;
}

/**
 * Gain of rerunning: what is sold brings more (metal, penalties, treatment, freight), less the running costs of what is fed
 * again. Where middlings are sold too, poured together with the rest that is sold, what is fed again is not. Running costs are those
 * per mass of waste; a kilogram fed again costs as much as a fresh one. What sold tailings bring more is left out.
 *
 * @param without - the run with no rerun
 * @returns undefined where no metal has a price, or neither concentrates nor middlings are sold
 */
export function rerunValueOf(without: AfterPasses, after: AfterPasses, sheet: PriceSheet): RerunValue | undefined {
	const rates = ratesOf(sheet);
	if (!(rates.pricePerKg.copper > 0 || rates.pricePerKg.aluminium > 0)) return undefined;
	const runningPerKg = FEED_COSTS.reduce((sum, cost) => sum + rates.feedCostPerKg[cost], 0);
	const fromSold = (parts: readonly number[]) => {
		const lines = marginLinesOf(soldOf(parts), rates);
		return lines.copper + lines.aluminium + lines.penalties + lines.treatment + lines.freight;
	};
	const count = SOLD_PARTS.length;
	const [more, less] = [after, without].map((pass) => soldParts(pass, sheet));
	if (more === undefined || less === undefined) return undefined;
	const gain = drawnFrom(
		[...more, ...less, after.fedAgain],
		(...values: number[]) =>
			fromSold(values.slice(0, count)) - fromSold(values.slice(count, 2 * count)) - runningPerKg * values[2 * count]!,
	);
	const gainPerKg = estimateOfDrawn(gain);
	if (gainPerKg === undefined) return undefined;
	const middlings = sheet.sold.includes('middlings') ? 'sold' : 'kept';
	return { middlings, gainPerKg, probabilityPays: gain.draws.filter((each) => each > 0).length / gain.draws.length };
}

/** What is sold of a pass, in the order of `SOLD_PARTS`; undefined where nothing is. */
function soldParts({ concentrate, left }: AfterPasses, { sold }: PriceSheet): readonly Drawn[] | undefined {
	const streams = [
		...(sold.includes('concentrate') ? [concentrate] : []),
		...(sold.includes('middlings') ? [left] : []),
	];
	const parts = SOLD_PARTS.flatMap((part) => sumOfDrawn(streams.map((stream) => stream[part])) ?? []);
	return parts.length === SOLD_PARTS.length ? parts : undefined;
}
