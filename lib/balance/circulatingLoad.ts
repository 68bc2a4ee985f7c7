/**
 * Load on the table, as a multiple of the new feed, when the middlings of every pass are fed again.
 *
 * Limit: assumes that rerun middlings split like fresh feed; they hold the awkward grains, so this is the hopeful side.
 *
 * @param returnedFraction - share of what is fed that goes to middlings, 0 to below 1
 * @param passes - passes over the table, the first included; left out for the steady state
 * @throws RangeError when everything, or less than nothing, comes back
 * @source sum of the geometric series
 */
export function totalLoadOf(returnedFraction: number, passes = Number.POSITIVE_INFINITY): number {
	if (!(returnedFraction >= 0 && returnedFraction < 1)) {
		throw new RangeError(`the returned share must be at least 0 and below 1, got ${returnedFraction}`);
	}
	return (1 - returnedFraction ** passes) / (1 - returnedFraction);
}
