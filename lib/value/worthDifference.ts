import { drawnFrom, estimateOfDrawn } from '../balance/drawn';
import type { Estimate } from '../quantity/quantity';
import type { PriceSheet } from './priceSheet';
import { marginDrawnOf, type ValuedRun } from './runValue';

/** How much more one run brings than another, per kilogram of dry waste. */
export interface WorthDifference {
	readonly perKg: Estimate;
	/** Probability that it brings more. */
	readonly probabilityMore: number;
}

/**
 * Difference of two runs' net margins at the same prices, from joint draws, so that errors they share cancel.
 *
 * @returns undefined where either margin can't be worked out
 * @throws TrayError `usage` when the sheet mixes currencies
 */
export function worthDifferenceOf(base: ValuedRun, other: ValuedRun, sheet: PriceSheet): WorthDifference | undefined {
	const [first, second] = [base, other].map((run) => marginDrawnOf(run, sheet));
	if (first === undefined || second === undefined) return undefined;
	const drawn = drawnFrom([second, first], (b, a) => b - a);
	const perKg = estimateOfDrawn(drawn);
	if (perKg === undefined) return undefined;
	return { perKg, probabilityMore: drawn.draws.filter((each) => each > 0).length / drawn.draws.length };
}
