import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { COVERAGE_FACTOR } from './coverageFactor';
import type { Estimate, Quantity } from './quantity';

/** One point of which both sides are measured; the errors of x and y are independent. */
export interface UncertainPoint {
	readonly x: Quantity;
	readonly y: Quantity;
}

/** A straight line y = intercept + slope x, fitted to points that are uncertain both ways. */
export interface LineFit {
	readonly slope: Quantity;
	readonly intercept: Quantity;
	/** Sum of squared distances from the line over their variances; about `degreesOfFreedom` where all is well. */
	readonly chiSquare: number;
	readonly degreesOfFreedom: number;
}

/** Rounds of York's iteration; it settles in about ten. */
const MOST_ROUNDS = 200;

/**
 * Best straight line through points that are uncertain in both directions, each by its own amount.
 *
 * With one ratio of y to x variance for all points this is Deming's line. Ordinary regression takes x for exact and finds too
 * flat a line where it is not.
 *
 * @param points - at least three that do not all share one x; every `u` above 0
 * @throws RangeError when there are too few points, one is exact, or no line settles
 * @source York, Can. J. Phys. 44 (1966) 1079; slope and uncertainties in the form of York, Evensen, Lopez Martinez and De
 *   Basabe Delgado, Am. J. Phys. 72 (2004) 367, equations 13
 */
export function lineThrough(points: readonly UncertainPoint[]): LineFit {
	if (points.length < 3 || points.some(({ x, y }) => !(x.u > 0 && y.u > 0))) {
		throw new RangeError('lineThrough needs three points or more, each with an uncertainty above 0 both ways');
	}
	let slope = ordinarySlope(points);
	for (let round = 0; round < MOST_ROUNDS; round++) {
		const { next } = yorkRound(points, slope);
		if (!Number.isFinite(next)) break;
		if (Math.abs(next - slope) <= 1e-13 * Math.abs(next)) return fitAt(points, next);
		slope = next;
	}
	throw new RangeError('no line settles through these points: they are too few or too close together');
}

/**
 * 95 % range of a line's slope: as wide as the points' own uncertainties make it or, where they scatter about the line by more, as that.
 *
 * @source Birge, Phys. Rev. 40 (1932) 207, with Student's t for the scatter that was seen: Draper and Smith, Applied Regression Analysis
 *   (1998), chapter 1
 */
export function slopeRangeOf({ slope, chiSquare, degreesOfFreedom }: LineFit): Estimate {
	const ratio = Math.sqrt(chiSquare / degreesOfFreedom);
	const reach = slope.u * (ratio > 1 ? ratio * tQuantile(0.975, degreesOfFreedom) : COVERAGE_FACTOR);
	return { value: slope.value, low: slope.value - reach, high: slope.value + reach };
}

function yorkRound(points: readonly UncertainPoint[], slope: number) {
	const weights = points.map(({ x, y }) => 1 / (y.u ** 2 + slope ** 2 * x.u ** 2));
	const sum = weights.reduce((total, weight) => total + weight, 0);
	const meanOf = (value: (point: UncertainPoint) => number) =>
		points.reduce((total, point, i) => total + weights[i]! * value(point), 0) / sum;
	const [meanX, meanY] = [meanOf(({ x }) => x.value), meanOf(({ y }) => y.value)];
	let [top, bottom] = [0, 0];
	const beta = points.map(({ x, y }, i) => {
		const [u, v] = [x.value - meanX, y.value - meanY];
		const own = weights[i]! * (u * y.u ** 2 + slope * v * x.u ** 2);
		top += weights[i]! * own * v;
		bottom += weights[i]! * own * u;
		return own;
	});
	return { weights, sum, meanX, meanY, beta, next: top / bottom };
}

function fitAt(points: readonly UncertainPoint[], slope: number): LineFit {
	const { weights, sum, meanX, meanY, beta } = yorkRound(points, slope);
	const adjusted = beta.map((own) => meanX + own);
	const centre = adjusted.reduce((total, x, i) => total + weights[i]! * x, 0) / sum;
	const variance = 1 / adjusted.reduce((total, x, i) => total + weights[i]! * (x - centre) ** 2, 0);
	const intercept = meanY - slope * meanX;
	return {
		slope: { value: slope, u: Math.sqrt(variance) },
		intercept: { value: intercept, u: Math.sqrt(1 / sum + centre ** 2 * variance) },
		chiSquare: points.reduce(
			(total, { x, y }, i) => total + weights[i]! * (y.value - intercept - slope * x.value) ** 2,
			0,
		),
		degreesOfFreedom: points.length - 2,
	};
}

/** Where the iteration starts: the line that takes x for exact. */
function ordinarySlope(points: readonly UncertainPoint[]): number {
	const mean = (value: (point: UncertainPoint) => number) =>
		points.reduce((total, point) => total + value(point), 0) / points.length;
	const [meanX, meanY] = [mean(({ x }) => x.value), mean(({ y }) => y.value)];
	let [top, bottom] = [0, 0];
	for (const { x, y } of points) {
		top += (x.value - meanX) * (y.value - meanY);
		bottom += (x.value - meanX) ** 2;
	}
	return top / bottom;
}
