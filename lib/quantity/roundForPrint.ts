import type { Estimate, Quantity } from './quantity';

/**
 * Round an uncertainty to two significant digits and the value to the same decimal place.
 *
 * @returns the same amount for printing, with the number of decimals to show; never used in further sums
 * @throws RangeError when the uncertainty is not above 0, because nothing then says where to round
 * @source JCGM 100:2008 (GUM) 7.2.6
 */
export function roundForPrint({ value, u }: Quantity): Quantity & { readonly decimals: number } {
	const decimals = decimalsFor(u);
	return { value: roundTo(value, decimals), u: roundTo(u, decimals), decimals: Math.max(0, decimals) };
}

/**
 * Round an estimate for printing: value and both limits to the decimal place of the second significant digit of half
 * the interval's width, and no finer. Where the interval has no width the numbers are left to six significant digits.
 *
 * A limit that rounds onto the value stays beside it; a value above 0 never gains a limit below 0 by rounding.
 *
 * @returns the estimate with the number of decimals to show; `belowDetectionLimit` is kept
 * @source JCGM 100:2008 (GUM) 7.2.6, with the half-width of the 95 % interval in the place of the expanded uncertainty
 */
export function roundEstimate(estimate: Estimate): Estimate & { readonly decimals: number } {
	const halfWidth = (estimate.high - estimate.low) / 2;
	const largest = Math.max(Math.abs(estimate.value), Math.abs(estimate.high), Math.abs(estimate.low));
	const decimals = halfWidth > 0 ? decimalsFor(halfWidth) : largest > 0 ? decimalsFor(largest) + 4 : 0;
	const [value, low, high] = [estimate.value, estimate.low, estimate.high].map((amount) => roundTo(amount, decimals));
	return { ...estimate, value: value!, low: low!, high: high!, decimals: Math.max(0, decimals) };
}

/** Decimal place (negative left of the point) of the second significant digit, after rounding to two digits. */
export function decimalsFor(amount: number): number {
	if (!(amount > 0) || !Number.isFinite(amount))
		throw new RangeError(`an uncertainty above 0 is needed to round by, got ${amount}`);
	return 1 - Number(amount.toExponential(1).split('e')[1]);
}

/** To the nearest step of ten to the minus `decimals`, halves away from zero as they stand in decimal, not in binary. */
export function roundTo(amount: number, decimals: number): number {
	const scaled = Number(`${Math.abs(amount)}e${decimals}`);
	const rounded = Number.isFinite(scaled) ? Number(`${Math.round(scaled)}e${-decimals}`) : amount;
	return amount < 0 ? -rounded || 0 : rounded;
}

/** To the next step of ten to the minus `decimals` that is not below it; digits past the twelfth, made up by changes of units, don't count. */
export function roundUp(amount: number, decimals: number): number {
	const scaled = Number((decimals < 0 ? amount / 10 ** -decimals : amount * 10 ** decimals).toPrecision(12));
	const rounded = Math.ceil(scaled) || 0;
	return decimals < 0 ? rounded * 10 ** -decimals : rounded / 10 ** decimals;
}
