import normalCdf from '@stdlib/stats-base-dists-normal-cdf';
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { shareDraws, taken } from './draws';
import { estimateOf } from './estimateOf';
import { meanOf } from './moments';
import type { Estimate, Quantity } from './quantity';
import type { Random } from './seededRandom';

/** Standard uncertainties outside, beyond which the normal's probability is no number any more. */
const FARTHEST = -30;

/**
 * A share that was measured on a scale without ends (a density, a weighted mean), as draws and an interval between 0 and 1.
 *
 * Beta draws, whose mean is the measured value, where these can stand for it. Where the value lies outside 0 to 1, or so near an end
 * that the beta's interval leaves its own mean out, what was measured is taken as normal and conditioned on being a share: the best
 * value is then the mean of what is left.
 *
 * @param count - how many draws
 * @source beta by moments: `shareDraws`; conditioned on known limits: JCGM 100:2008 (GUM) F.2.4.2 and Bayes' rule with a flat prior
 */
export function shareEstimate(
	measured: Quantity,
	count: number,
	random: Random,
): { readonly draws: Float64Array; readonly estimate: Estimate } {
	const { value, u } = measured;
	if (value > 0 && value < 1 && u ** 2 < value * (1 - value)) {
		const draws = shareDraws(measured, count, random);
		const estimate = estimateOf(draws, value);
		if (estimate.low <= value && value <= estimate.high) return { draws, estimate };
	}
	const draws = conditionedDraws(measured, count, random);
	const { value: mean, low, high } = estimateOf(draws, meanOf(draws));
	// what was measured at an end or beyond it does not leave that end out
	return { draws, estimate: { value: mean, low: value <= 0 ? 0 : low, high: value >= 1 ? 1 : high } };
}

/** Normal draws on condition that they lie between 0 and 1, by the quantiles that do. */
function conditionedDraws({ value, u }: Quantity, count: number, random: Random): Float64Array {
	// the tail that is drawn from lies below the mean, where probabilities keep their digits
	const isMirrored = value < 0.5;
	const mean = isMirrored ? 1 - value : value;
	const [from, to] = [normalCdf(0, mean, u), normalCdf(1, mean, u)];
	// so far outside that no digit is left: the normal's tail falls off like an exponential
	const beyond = (1 - mean) / u < FARTHEST ? (-u * u) / (1 - mean) : undefined;
	return taken(count, () => {
		const random01 = 1 - random.uniform();
		if (beyond !== undefined) return withinShares(1 + beyond * Math.log(random01), isMirrored);
		return withinShares(normalQuantile(from + (to - from) * random01, mean, u), isMirrored);
	});
}

function withinShares(share: number, isMirrored: boolean): number {
	const inside = Math.min(1, Math.max(0, share));
	return isMirrored ? 1 - inside : inside;
}
