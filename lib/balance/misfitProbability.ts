import chiSquareCdf from '@stdlib/stats-base-dists-chisquare-cdf';

/**
 * Chance that a chi-square variable is at least this large.
 *
 * @returns undefined with no degrees of freedom: there is nothing to test
 */
export function probabilityOf(chiSquare: number, degreesOfFreedom: number): number | undefined {
	return degreesOfFreedom > 0 ? 1 - chiSquareCdf(Math.max(0, chiSquare), degreesOfFreedom) : undefined;
}
