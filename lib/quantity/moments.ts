/**
 * Arithmetic mean, summed about the first value so that large numbers with small differences keep their digits.
 *
 * @param values - at least one finite number
 * @throws RangeError when there are no values
 */
export function meanOf(values: ArrayLike<number>): number {
	if (values.length === 0) throw new RangeError('meanOf needs at least one value');
	const origin = values[0]!;
	let sum = 0;
	for (let index = 0; index < values.length; index++) sum += values[index]! - origin;
	return origin + sum / values.length;
}

/**
 * Middle number in order, the mean of the two middle ones of an even count.
 *
 * @param values - at least one finite number; not changed
 * @throws RangeError when there are no values
 */
export function medianOf(values: ArrayLike<number>): number {
	if (values.length === 0) throw new RangeError('medianOf needs at least one value');
	const sorted = Float64Array.from(values).sort();
	return (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
}

/**
 * Covariance of two aligned series about their means, two-pass, divisor n - 1.
 *
 * @param a - at least two numbers
 * @param b - as many; pass `a` again for the variance
 * @throws RangeError when the series differ in length or hold fewer than two numbers
 * @source two-pass algorithm: Chan, Golub and LeVeque, The American Statistician 37 (1983) 242
 */
export function covarianceOf(a: ArrayLike<number>, b: ArrayLike<number>): number {
	if (a.length !== b.length || a.length < 2)
		throw new RangeError(`covarianceOf needs two series of one length, got ${a.length}, ${b.length}`);
	const meanA = meanOf(a);
	const meanB = meanOf(b);
	let sum = 0;
	let driftA = 0;
	let driftB = 0;
	for (let index = 0; index < a.length; index++) {
		const da = a[index]! - meanA;
		const db = b[index]! - meanB;
		sum += da * db;
		driftA += da;
		driftB += db;
	}
	return (sum - (driftA * driftB) / a.length) / (a.length - 1);
}

/** Sample standard deviation (divisor n - 1) of at least two numbers. */
export function standardDeviationOf(values: ArrayLike<number>): number {
	return Math.sqrt(covarianceOf(values, values));
}
