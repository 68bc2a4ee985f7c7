import { TrayError } from '../errors/TrayError';
import { meanOf } from './moments';
import type { Estimate } from './quantity';

/**
 * Best value and 95 % interval from Monte Carlo draws, by their own quantiles, so that it is lopsided where the draws are.
 *
 * @param draws - at least one finite number; not changed
 * @param value - the best value when it is known from elsewhere; the median of the draws otherwise
 * @throws RangeError when there are no draws; TrayError `not-a-number` when one of them, or the value, is not finite: such a figure is
 *   never shown nor kept
 * @source JCGM 101:2008 7.7 (probabilistically symmetric coverage interval)
 */
export function estimateOf(draws: ArrayLike<number>, value?: number): Estimate {
	if (draws.length === 0) throw new RangeError('estimateOf needs at least one draw');
	const work = new Float64Array(draws);
	refuseNonsense(work, value ?? 0);
	const [low, high] = [quantileWithin(work, work.length, 0.025), quantileWithin(work, work.length, 0.975)];
	return { value: value ?? quantileWithin(work, work.length, 0.5), low, high };
}

/**
 * Mean of the draws (means add up) with their 95 % interval, which holds it: of draws with a long tail the mean can lie beyond a quantile.
 *
 * @throws as `estimateOf`
 */
export function meanEstimateOf(draws: ArrayLike<number>): Estimate {
	const value = meanOf(draws);
	const { low, high } = estimateOf(draws, value);
	return { value, low: Math.min(low, value), high: Math.max(high, value) };
}

function refuseNonsense(draws: Float64Array, value: number): void {
	let areFinite = Number.isFinite(value);
	for (let i = 0; i < draws.length; i++) areFinite &&= Number.isFinite(draws[i]);
	if (areFinite) return;
	throw new TrayError(
		'not-a-number',
		'A figure could not be worked out: its range is not a number, so it is not shown.',
		'Look for a figure that cannot be among what was typed for the material and its checks. If there is none, read the photo again.',
	);
}

/**
 * The same quantile of numbers in any order, by selection instead of sorting: some ten times as fast for thousands of draws.
 *
 * @param work - rearranged in place; the first `count` numbers, none of them NaN, are looked at
 * @param count - at least one
 * @source Hoare, Commun. ACM 4 (1961) 321, algorithm 65 (FIND)
 */
export function quantileWithin(work: Float64Array, count: number, probability: number): number {
	const position = (count - 1) * probability;
	const below = Math.floor(position);
	const lower = selectWithin(work, count, below);
	if (position === below || below + 1 >= count) return lower;
	// selection leaves everything above `below` at or over it
	let upper = work[below + 1]!;
	for (let i = below + 2; i < count; i++) if (work[i]! < upper) upper = work[i]!;
	return lower + (upper - lower) * (position - below);
}

/** From so many numbers on, a pivot is chosen from a sample. */
const MANY = 600;

/**
 * The number that would stand at `at` if the first `count` were sorted; smaller ones end before it, larger ones after.
 *
 * @source Floyd and Rivest, Commun. ACM 18 (1975) 173, algorithm 489 (SELECT), with their size of the sample
 */
export function selectWithin(work: Float64Array, count: number, at: number): number {
	return selectBetween(work, 0, count - 1, at);
}

function selectBetween(work: Float64Array, first: number, last: number, at: number): number {
	// Hot loop: narrows the range that holds `at` by parting it about a pivot.
	let [left, right] = [first, last];
	while (right > left) {
		const pivot =
			right - left < MANY
				? middleOf(work[left]!, work[(left + right) >> 1]!, work[right]!)
				: pivotOfSample(work, left, right, at);
		let [i, j] = [left, right];
		while (i <= j) {
			while (work[i]! < pivot) i++;
			while (work[j]! > pivot) j--;
			if (i > j) break;
			const kept = work[i]!;
			work[i] = work[j]!;
			work[j] = kept;
			i++;
			j--;
		}
		if (at <= j) right = j;
		else if (at >= i) left = i;
		else break;
	}
	return work[at]!;
}

/** A number of the range that most likely comes just past the one sought, so that one parting leaves few. */
function pivotOfSample(work: Float64Array, left: number, right: number, at: number): number {
	const count = right - left + 1;
	const before = at - left + 1;
	const log = Math.log(count);
	const sample = 0.5 * Math.exp((2 * log) / 3);
	const side = before < count / 2 ? -1 : 1;
	const margin = side * 0.5 * Math.sqrt((log * sample * (count - sample)) / count);
	const from = Math.max(left, Math.floor(at - (before * sample) / count + margin));
	const to = Math.min(right, Math.floor(at + ((count - before) * sample) / count + margin));
	return selectBetween(work, Math.min(from, at), Math.max(to, at), at);
}

function middleOf(a: number, b: number, c: number): number {
	return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
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
