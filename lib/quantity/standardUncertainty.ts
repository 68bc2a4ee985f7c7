import { COVERAGE_FACTOR } from './coverageFactor';
import type { Estimate } from './quantity';

/**
 * One standard uncertainty from a 95 % interval, taking it for that of a normal distribution.
 *
 * @source JCGM 100:2008 4.3.4 (half-width over the coverage factor)
 */
export function standardUncertaintyOf({ low, high }: Estimate): number {
	return (high - low) / (2 * COVERAGE_FACTOR);
}
