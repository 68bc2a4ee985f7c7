import { chanceAboveZero, type Drawn, drawnFrom, estimateReaching } from '../balance/drawn';
import type { Estimate } from '../quantity/quantity';
import type { PriceSheet } from './priceSheet';
import { marginDrawnOf } from './runValue';
import type { ValuedRun } from './soldDraws';

/** How much more one run brings than another, per kilogram of dry waste. */
export interface WorthDifference {
	readonly perKg: Estimate;
	/** Probability that it brings more. */
	readonly probabilityMore: number;
}

/**
 * Difference of two runs' net margins at the same prices, from joint draws, so that errors they share cancel. What is sold may hold more of
 * what is below detection in it; the range reaches as far as that leaves open.
 *
 * @returns undefined where either margin can't be worked out
 * @throws TrayError `usage` when the sheet mixes currencies
 */
export function worthDifferenceOf(base: ValuedRun, other: ValuedRun, sheet: PriceSheet): WorthDifference | undefined {
	const [first, second] = [base, other].map((run) => marginDrawnOf(run, sheet));
	if (first === undefined || second === undefined) return undefined;
	const minus = (more: Drawn, less: Drawn) => drawnFrom([more, less], (b, a) => b - a);
	const drawn = minus(second.margin, first.margin);
	const limited = [
		...first.limited.map((world) => minus(second.margin, world)),
		...second.limited.map((world) => minus(world, first.margin)),
	];
	const perKg = estimateReaching(drawn, ...limited);
	return perKg && { perKg, probabilityMore: chanceAboveZero([drawn, ...limited]) };
}
