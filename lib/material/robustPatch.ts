import { medianOf } from '../quantity/moments';
import { ellipsoidOf, squaredDistance } from './ellipsoid';
import type { ColourPatch } from './material';
import type { LabColour } from './taughtSpot';

/** Chi-square point with three degrees of freedom that 97.5 % of a normal cloud lies within. */
export const MOST_OF_A_CLOUD = 9.3484;
/** What cutting a normal cloud at that point takes off its covariance: 0.975 / P(chi-square with five degrees below it). */
const CUT_CORRECTION = 0.975 / 0.904;
/** Standard deviation over median absolute deviation of a normal distribution. */
const MAD_TO_SD = 1.4826;
const ROUNDS = 6;

/**
 * Scatter that a colour has at least, beyond what a small spot shows: a piece tilted by 30 degrees gets 13 % less light, which
 * is 5 in L at mid lightness; grain and chroma compression of a phone leave some 2 in a and b (common practice, no source).
 */
const LEAST_SD = { L: 5, a: 2, b: 2 } as const;

/**
 * Robust colour ellipsoid of a cloud of colours: a glint or a neighbour caught in the spot does not move it.
 *
 * Starts from medians and median absolute deviations, then takes mean and covariance of what lies within the 97.5 % point, a few
 * rounds, corrected for the cut.
 *
 * @param colours - at least one
 * @source reweighting as in P. Rousseeuw, K. van Driessen, Technometrics 41 (1999) 212 (from memory)
 */
export function robustPatch(name: string, colours: readonly LabColour[]): ColourPatch {
	if (colours.length === 0) throw new RangeError(`colour '${name}': at least one sample expected, got none`);
	const middle = [0, 1, 2].map((axis) => medianOf(colours.map((colour) => colour[axis]!)));
	const off = [0, 1, 2].map(
		(axis) => MAD_TO_SD * medianOf(colours.map((colour) => Math.abs(colour[axis]! - middle[axis]!))),
	);
	let patch = widened(name, middle, [off[0]! ** 2, 0, 0, off[1]! ** 2, 0, off[2]! ** 2]);
	for (let round = 0; round < ROUNDS; round++) {
		const ellipsoid = ellipsoidOf(patch);
		const kept = colours.filter(([L, a, b]) => squaredDistance(ellipsoid, L, a, b) <= MOST_OF_A_CLOUD);
		if (kept.length < 4) break;
		const { mean, covariance } = moments(kept);
		patch = widened(
			name,
			mean,
			covariance.map((value) => value * CUT_CORRECTION),
		);
	}
	return patch;
}

/** The patch with its covariance widened by the least scatter. */
function widened(name: string, [L, a, b]: readonly number[], covariance: readonly number[]): ColourPatch {
	const [ll, la, lb, aa, ab, bb] = covariance;
	return {
		name,
		centre: { L: L!, a: a!, b: b! },
		covariance: [ll! + LEAST_SD.L ** 2, la!, lb!, aa! + LEAST_SD.a ** 2, ab!, bb! + LEAST_SD.b ** 2],
	};
}

function moments(colours: readonly LabColour[]): { mean: number[]; covariance: number[] } {
	const n = colours.length;
	const mean = [0, 1, 2].map((axis) => colours.reduce((sum, colour) => sum + colour[axis]!, 0) / n);
	const between = (i: number, j: number) =>
		colours.reduce((sum, colour) => sum + (colour[i]! - mean[i]!) * (colour[j]! - mean[j]!), 0) / n;
	return {
		mean,
		covariance: [between(0, 0), between(0, 1), between(0, 2), between(1, 1), between(1, 2), between(2, 2)],
	};
}

/** Squared distance of two colours' centres, measured by the mean of their ellipsoids. */
export function squaredApart(one: ColourPatch, other: ColourPatch): number {
	const covariance = one.covariance.map(
		(value, k) => (value + other.covariance[k]!) / 2,
	) as unknown as ColourPatch['covariance'];
	const { L, a, b } = other.centre;
	return squaredDistance(ellipsoidOf({ name: one.name, centre: one.centre, covariance }), L, a, b);
}
