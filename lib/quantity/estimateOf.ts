import type { Estimate } from './quantity';

/**
 * Best value and 95 % interval from Monte Carlo draws, by their own quantiles, so that it is lopsided where the draws are.
 *
 * @param draws - at least one finite number; not changed
 * @param value - the best value when it is known from elsewhere; the median of the draws otherwise
 * @throws RangeError when there are no draws
 * @source JCGM 101:2008 7.7 (probabilistically symmetric coverage interval)
 */
export function estimateOf(draws: ArrayLike<number>, value?: number): Estimate {
  if (draws.length === 0) throw new RangeError('estimateOf needs at least one draw');
  const sorted = new Float64Array(draws).sort();
  return { value: value ?? quantileOf(sorted, 0.5), low: quantileOf(sorted, 0.025), high: quantileOf(sorted, 0.975) };
}

/**
 * Quantile of sorted numbers by linear interpolation between order statistics.
 *
 * @param sorted - ascending, at least one
 * @param probability - 0 to 1
 * @source Hyndman and Fan, The American Statistician 50 (1996) 361, definition 7
 */
export function quantileOf(sorted: ArrayLike<number>, probability: number): number {
  const position = (sorted.length - 1) * probability;
  const below = Math.floor(position);
  const lower = sorted[below] ?? Number.NaN;
  const upper = sorted[Math.min(below + 1, sorted.length - 1)] ?? Number.NaN;
  return lower + (upper - lower) * (position - below);
}
