import chisquareCdf from '@stdlib/stats-base-dists-chisquare-cdf';
import type { Quantity } from '../quantity/quantity';

/** Independent estimates of one amount, taken together. */
export interface Combined extends Quantity {
	/** Sum of squared deviations from the weighted mean over their variances. */
	readonly chiSquare: number;
	/** Chance that estimates which agree differ this much; absent with a single one. */
	readonly probability?: number;
	/** Standard deviation that had to be added to every estimate to make them agree; 0 where they do. */
	readonly excessU: number;
}

/**
 * Inverse-variance weighted mean; where the estimates contradict each other (5 % test), each is widened alike first. What some have in common
 * does not average out: it stays in the uncertainty of the mean, while the weights are those of independent ones.
 *
 * @param estimates - at least one, every `u` above 0
 * @param correlation - between two estimates, by their places; none where absent
 * @source weighted mean and excess variance: DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177 (from memory)
 */
export function combineEstimates(
	estimates: readonly Quantity[],
	correlation: (i: number, j: number) => number = () => 0,
): Combined {
	if (estimates.length === 0 || estimates.some(({ u }) => !(u > 0))) {
		throw new RangeError('combineEstimates needs estimates with an uncertainty above 0');
	}
	const { mean, sum } = weighted(estimates, 0, correlation);
	const chiSquare = estimates.reduce((total, { value, u }) => total + ((value - mean) / u) ** 2, 0);
	const freedom = estimates.length - 1;
	const squares = estimates.reduce((total, { u }) => total + u ** -4, 0);
	const probability = freedom === 0 ? undefined : 1 - chisquareCdf(chiSquare, freedom);
	const isContradictory = probability !== undefined && probability < 0.05;
	const excess = isContradictory ? Math.max(0, (chiSquare - freedom) / (sum - squares / sum)) : 0;
	const widened = weighted(estimates, excess, correlation);
	return {
		value: widened.mean,
		u: widened.u,
		chiSquare,
		...(probability === undefined ? {} : { probability }),
		excessU: Math.sqrt(excess),
	};
}

function weighted(estimates: readonly Quantity[], excess: number, correlation: (i: number, j: number) => number) {
	const weights = estimates.map(({ u }) => 1 / (u ** 2 + excess));
	const sum = weights.reduce((total, weight) => total + weight, 0);
	const ofAll = (term: (one: Quantity, i: number) => number) =>
		estimates.reduce((total, one, i) => total + weights[i]! * term(one, i), 0) / sum;
	const shared = ofAll(({ u }, i) => ofAll((other, j) => (i === j ? 0 : correlation(i, j) * u * other.u)));
	return { sum, mean: ofAll(({ value }) => value), u: Math.sqrt(1 / sum + Math.max(0, shared)) };
}

/** How far two independent estimates lie apart, in standard deviations of their difference. */
export function deviationsApart(a: Quantity, b: Quantity): number {
	return Math.abs(a.value - b.value) / Math.hypot(a.u, b.u);
}
