import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { inverse as inverseOf, Matrix, QrDecomposition } from 'ml-matrix';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { meanOf } from '../quantity/moments';

/** A fitted coefficient. */
export interface Coefficient {
	readonly value: number;
	/** Standard error. */
	readonly u: number;
	readonly low: number;
	readonly high: number;
}

/** A least-squares fit with an intercept. */
export interface Regression {
	readonly intercept: Coefficient;
	/** In the order of the columns. */
	readonly slopes: readonly Coefficient[];
	/** Root of the weighted residual sum of squares over its degrees of freedom; 0 where none are left. */
	readonly residualSd: number;
	readonly degreesOfFreedom: number;
	readonly rSquared: number;
}

/**
 * Linear regression with an intercept, by QR decomposition of centred and scaled columns.
 *
 * Without uncertainties all points count alike and standard errors come from the residuals. With them a point counts with one
 * over the sum of its variance and a middle point's, since points differ by more than they are uncertain by: full weights would let a
 * point that is known well speak alone, and weights by a scatter that few residuals tell do so by chance. Standard errors
 * come from the residuals all the same: what these show beyond the uncertainties is scatter that all points have; where they show
 * less, points share errors, which no slope holds. (Two levels in turns, no effect, runs that differ by 0.02 and are known to 0.002 or 0.03: full
 * weights, widened by the Birge ratio, call an effect clear 57 to 75 times in 100, this 5 to 7.)
 *
 * @param columns - one array a predictor, as long as `y`
 * @param u - standard uncertainty of each point, above 0
 * @throws RangeError when there are fewer points than coefficients, or columns don't differ from each other
 * @source Draper and Smith, Applied Regression Analysis (1998), chapters 1 and 9; scatter by moments: Hedges and Olkin,
 *   Statistical Methods for Meta-Analysis (1985), chapter 9; degrees of freedom: Satterthwaite, Biometrics Bulletin 2 (1946) 110 (from memory)
 */
export function regressionOf(
	columns: readonly (readonly number[])[],
	y: readonly number[],
	u?: readonly number[],
): Regression {
	const [points, terms] = [y.length, columns.length + 1];
	if (points < terms) throw new RangeError(`a fit of ${terms} coefficients needs as many points, got ${points}`);
	const means = columns.map((column) => meanOf(column));
	const spans = columns.map((column, k) => Math.sqrt(meanOf(column.map((x) => (x - means[k]!) ** 2))));
	if (spans.some((span) => !(span > 0))) throw new RangeError('a predictor that never changes has no effect to fit');
	const variances = u?.map((one) => one ** 2);
	const weights = variances === undefined ? y.map(() => 1) : weightsOf(variances);
	const root = weights.map(Math.sqrt);
	const design = new Matrix(
		y.map((_, i) => [root[i]!, ...columns.map((column, k) => (root[i]! * (column[i]! - means[k]!)) / spans[k]!)]),
	);
	const qr = new QrDecomposition(design);
	if (!qr.isFullRank() || conditionOf(qr) > 1e10)
		throw new RangeError('predictors move together and can not be separated');
	const yMean = meanOf(y);
	const target = Matrix.columnVector(y.map((value, i) => root[i]! * (value - yMean)));
	const scaled = qr.solve(target).getColumn(0);
	const residuals = target
		.clone()
		.sub(design.mmul(Matrix.columnVector(scaled)))
		.getColumn(0);
	const sumOfSquares = residuals.reduce((sum, one) => sum + one ** 2, 0);
	const degreesOfFreedom = points - terms;
	const basis = qr.orthogonalMatrix;
	const seen = basis.to2DArray().map((row) => 1 - row.reduce((sum, one) => sum + one ** 2, 0));
	const scatter = scatterOf(seen, sumOfSquares, weights, variances);
	// with C = R^-1 Q^T the coefficients are C y, so a row of C holds what each point brings to one of them
	const toOwn = transformOf(means, spans);
	const rows = toOwn.mmul(inverseOf(qr.upperTriangularMatrix)).mmul(basis.transpose());
	const values = toOwn.mmul(Matrix.columnVector(scaled)).getColumn(0);
	values[0] = values[0]! + yMean;
	const reach =
		degreesOfFreedom > 0 && sumOfSquares > 0 ? tQuantile(0.975, freedomOf(basis, seen, scatter)) : COVERAGE_FACTOR;
	const coefficients = values.map((value, k): Coefficient => {
		const error = Math.sqrt(rows.getRow(k).reduce((sum, part, i) => sum + part ** 2 * scatter[i]!, 0));
		return { value, u: error, low: value - reach * error, high: value + reach * error };
	});
	const totalOfSquares = weightedTotal(y, root);
	return {
		intercept: coefficients[0]!,
		slopes: coefficients.slice(1),
		residualSd: degreesOfFreedom > 0 ? Math.sqrt(sumOfSquares / degreesOfFreedom) : 0,
		degreesOfFreedom,
		rSquared: totalOfSquares > 0 ? 1 - sumOfSquares / totalOfSquares : 1,
	};
}

/**
 * Variance of each weighted point, such that the residuals' sum of squares is what is to be expected.
 *
 * @param seen - share of each point's own scatter that its residual shows: one less its leverage
 * @param variances - of the points before weighting; undefined where they are taken as alike
 */
function scatterOf(
	seen: readonly number[],
	sumOfSquares: number,
	weights: readonly number[],
	variances: readonly number[] | undefined,
): readonly number[] {
	const expected = (of: readonly number[]) => of.reduce((sum, one, i) => sum + seen[i]! * one, 0);
	if (!(sumOfSquares > 0)) return weights.map(() => 0);
	const own = weights.map((weight, i) => weight * (variances?.[i] ?? 0));
	const more = sumOfSquares - expected(own);
	const add = more > 0 ? more / expected(weights) : 0;
	const scale = more > 0 ? 1 : sumOfSquares / expected(own);
	return own.map((one, i) => one * scale + weights[i]! * add);
}

/**
 * Degrees of freedom that residuals of unequal variances are worth; not a whole number as a rule.
 *
 * With M = 1 - Q Q^T and V the variances it is tr(MV)^2 / tr(MVMV), written out so that no matrix of points by points is made.
 */
function freedomOf(basis: Matrix, seen: readonly number[], scatter: readonly number[]): number {
	const trace = scatter.reduce((sum, one, i) => sum + seen[i]! * one, 0);
	const square = scatter.reduce((sum, one, i) => sum + (2 * seen[i]! - 1) * one ** 2, 0);
	const within = basis.transpose().mulRowVector(scatter.slice()).mmul(basis);
	return trace ** 2 / (square + within.norm('frobenius') ** 2);
}

function weightsOf(variances: readonly number[]): readonly number[] {
	const middle = upperMiddleOf(variances);
	return variances.map((one) => 1 / (one + middle));
}

/** The middle one of the values, or the next above it where that is one of them: that of three is the largest. */
function upperMiddleOf(values: readonly number[]): number {
	return values.toSorted((a, b) => a - b)[Math.ceil(values.length / 2)] ?? values[0]!;
}

/** From coefficients of centred and scaled columns to those of the columns as given. */
function transformOf(means: readonly number[], spans: readonly number[]): Matrix {
	const size = means.length + 1;
	const matrix = Matrix.eye(size, size);
	for (const [k, span] of spans.entries()) {
		matrix.set(k + 1, k + 1, 1 / span);
		matrix.set(0, k + 1, -means[k]! / span);
	}
	return matrix;
}

function conditionOf(qr: QrDecomposition): number {
	const diagonal = qr.upperTriangularMatrix.diagonal().map(Math.abs);
	return Math.max(...diagonal) / Math.min(...diagonal);
}

function weightedTotal(y: readonly number[], root: readonly number[]): number {
	const weights = root.map((one) => one ** 2);
	const sum = weights.reduce((total, one) => total + one, 0);
	const mean = y.reduce((total, value, i) => total + weights[i]! * value, 0) / sum;
	return y.reduce((total, value, i) => total + weights[i]! * (value - mean) ** 2, 0);
}
