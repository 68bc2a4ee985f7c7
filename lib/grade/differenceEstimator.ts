import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { meanOf, standardDeviationOf } from '../quantity/moments';
import type { Estimate, Quantity } from '../quantity/quantity';

/** Checks from which on the difference estimator is used. */
export const FEWEST_DIFFERENCES = 3;

/**
 * Mean grade from all spreads by their pictures, put right by what weighing some of them found.
 *
 * Mean of the picture values plus mean of weighed minus picture: right on average however wrong the pictures are, since their
 * error is measured and taken off. What the spreads themselves scatter is shrunk by all of them, what pictures are off by those weighed: where
 * every spread was weighed, the mean is that of the weights and so is its uncertainty. The interval has Student's t with one less than the
 * number of weighed spreads; it is reckoned on the logit, so that it stays between 0 and 1.
 *
 * @param pictures - grade of every spread by its picture
 * @param checked - of those spreads that were weighed: picture value and weighed value; at least three
 * @source Cassel, Sarndal and Wretman, Biometrika 63 (1976) 615; variance as in double sampling, S_w^2 / n + S_d^2 (1 / m - 1 / n): Cochran,
 *   Sampling Techniques, 3rd ed., chapter 12 (both from memory)
 */
export function differenceEstimate(
	pictures: readonly number[],
	checked: readonly { readonly picture: number; readonly weighed: number }[],
): Quantity & Estimate {
	if (checked.length < FEWEST_DIFFERENCES || pictures.length < checked.length) {
		throw new RangeError(`the difference estimator needs three weighed spreads or more, got ${checked.length}`);
	}
	const differences = checked.map(({ picture, weighed }) => weighed - picture);
	const value = Math.min(1, Math.max(0, meanOf(pictures) + meanOf(differences)));
	const ofSpreads = standardDeviationOf(checked.map(({ weighed }) => weighed)) ** 2;
	const ofPictures = standardDeviationOf(differences) ** 2;
	const [all, own] = [1 / pictures.length, 1 / checked.length];
	const u = Math.sqrt(ofSpreads * all + ofPictures * (own - all));
	const t = tQuantile(0.975, checked.length - 1);
	// at the very ends the logit has no scale; half a thousandth stands in for nothing
	const inside = Math.min(1 - 5e-4, Math.max(5e-4, value));
	const reach = Math.exp((t * u) / (inside * (1 - inside)));
	const odds = inside / (1 - inside);
	return {
		value,
		u,
		// turned round so that a reach without end still leads to one
		low: Math.min(value, 1 / (1 + reach / odds)),
		high: Math.max(value, 1 / (1 + 1 / (odds * reach))),
	};
}
