import type { Quantity } from './quantity';
import type { Random } from './seededRandom';

/** So many numbers, each the next of a stream; several times as fast as `Float64Array.from` with a function. */
export function taken(count: number, next: () => number): Float64Array {
	const numbers = new Float64Array(count);
	for (let i = 0; i < count; i++) numbers[i] = next();
	return numbers;
}

/**
 * One draw of how far an amount lies from an end that it was measured at and cannot pass: nothing of a share, all of it, no mass. Half a normal
 * distribution, whose root mean square distance from that end is the standard uncertainty: a normal on condition that it can be.
 *
 * @source conditioned on a known limit: JCGM 100:2008 (GUM) F.2.4.2 and Bayes' rule with a flat prior
 */
export function beyondEnd(u: number, random: Random): number {
	return u * Math.abs(random.normal());
}

/**
 * Draws of an amount that cannot be negative, such as a mass: normal where zero is more than five standard
 * uncertainties away, else a gamma distribution with the same mean and standard deviation, so that nothing is clipped
 * and the mean stays where it was measured. One measured as nothing lies above it by what its uncertainty leaves open (`beyondEnd`).
 *
 * @param amount - value at least 0
 * @source gamma distribution: JCGM 101:2008 6.4.11 uses it for counts; its use for small masses is our choice
 * @throws RangeError when the value or its uncertainty is negative
 */
export function positiveDraws({ value, u }: Quantity, count: number, random: Random): Float64Array {
	if (!(value >= 0) || !(u >= 0))
		throw new RangeError(`positiveDraws needs value and u of at least 0, got ${value}, ${u}`);
	if (u === 0) return new Float64Array(count).fill(value);
	if (value === 0) return taken(count, () => beyondEnd(u, random));
	if (value > 5 * u) return taken(count, () => Math.max(0, value + u * random.normal()));
	return taken(count, () => (random.gamma((value / u) ** 2) * u ** 2) / value);
}

/**
 * Draws of a share between 0 and 1 that was measured on its own (a laboratory's result): the beta distribution with
 * that mean and standard deviation. One measured as nothing or as all lies inside by what its uncertainty leaves open (`beyondEnd`).
 *
 * @throws RangeError when the share is outside 0 to 1 or no distribution on 0 to 1 can have that uncertainty
 * @source beta by moments: Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 2 (1995), chapter 25
 */
export function shareDraws({ value, u }: Quantity, count: number, random: Random): Float64Array {
	const spread = value * (1 - value);
	if (!(value >= 0 && value <= 1)) throw new RangeError(`a share lies between 0 and 1, got ${value}`);
	if (u === 0) return new Float64Array(count).fill(value);
	if (spread === 0) return taken(count, () => Math.abs(value - Math.min(1, beyondEnd(u, random))));
	if (!(u > 0) || u ** 2 >= spread)
		throw new RangeError(`a share of ${value} cannot have a standard uncertainty of ${u}`);
	const weight = spread / u ** 2 - 1;
	return taken(count, () => {
		const part = random.gamma(value * weight);
		const whole = part + random.gamma((1 - value) * weight);
		// both too small for a number where all weight lies at the ends: then it is one end or the other
		return whole > 0 ? part / whole : random.uniform() < value ? 1 : 0;
	});
}
