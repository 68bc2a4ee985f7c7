import { MARGIN_LINES, marginLinesOf, marginOf, type Rates, type SoldPerKg } from './marginModel';

/**
 * Price of copper, per kilogram, at which one kilogram of waste neither wins nor loses; everything else as it is.
 *
 * @returns NaN where no copper is paid for, 0 where it pays even at no price
 */
export function breakEvenPriceOf(sold: SoldPerKg, rates: Rates): number {
	const paidKg = Math.max(0, sold.copper - rates.deduction.copper * sold.mass) * rates.payable.copper;
	if (!(paidKg > 0)) return Number.NaN;
	const rest = marginOf(sold, { ...rates, pricePerKg: { ...rates.pricePerKg, copper: 0 } });
	return Math.max(0, -rest / paidKg);
}

/**
 * Copper grade of the waste at which it neither wins nor loses, if recovery and the make-up of what is sold stay as they
 * are: then all that is sold grows with the feed's grade, and costs per mass of waste don't.
 *
 * @param feedGrade - copper in the dry waste now, 0 to 1
 * @returns NaN where what is sold brings nothing, 0 where it pays at any grade; above 1 where it never pays
 */
export function breakEvenFeedGradeOf(sold: SoldPerKg, rates: Rates, feedGrade: number): number {
	const lines = marginLinesOf(sold, rates);
	const fromSold = lines.copper + lines.aluminium + lines.penalties + lines.treatment + lines.freight;
	if (!(fromSold > 0)) return Number.NaN;
	const perFeed = MARGIN_LINES.reduce((sum, line) => sum + lines[line], 0) - fromSold;
	return Math.max(0, (-perFeed / fromSold) * feedGrade);
}

/**
 * Years until an investment is paid back out of the margin, without interest.
 *
 * @param marginPerKg - net margin of one kilogram of dry waste, in the investment's currency
 * @returns infinity where the margin is not above zero
 */
export function paybackYearsOf(investment: number, yearlyFeedKg: number, marginPerKg: number): number {
	return marginPerKg > 0 ? investment / (yearlyFeedKg * marginPerKg) : Number.POSITIVE_INFINITY;
}
