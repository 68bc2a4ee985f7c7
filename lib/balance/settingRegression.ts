import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { inverse as inverseOf, Matrix, QrDecomposition } from 'ml-matrix';
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
 * Weighted linear regression with an intercept, by QR decomposition of centred and scaled columns.
 *
 * Without uncertainties all points count alike and standard errors come from the residuals. With them each point counts
 * with one over its variance, and standard errors are widened by the residuals where these are larger than the
 * uncertainties explain, never narrowed (Birge ratio).
 *
 * @param columns - one array a predictor, as long as `y`
 * @param u - standard uncertainty of each point, above 0
 * @throws RangeError when there are fewer points than coefficients, or columns don't differ from each other
 * @source Draper and Smith, Applied Regression Analysis (1998), chapters 1 and 9; Birge, Phys. Rev. 40 (1932) 207
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
	const root = y.map((_, i) => (u === undefined ? 1 : 1 / u[i]!));
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
	const residualSd = degreesOfFreedom > 0 ? Math.sqrt(sumOfSquares / degreesOfFreedom) : 0;
	const factor = u === undefined ? residualSd : Math.max(1, residualSd);
	// covariance of the coefficients is R^-1 R^-T, so a row of R^-1 holds what makes up one standard error
	const inverse = inverseOf(qr.upperTriangularMatrix);
	const toOwn = transformOf(means, spans);
	const rows = toOwn.mmul(inverse);
	const values = toOwn.mmul(Matrix.columnVector(scaled)).getColumn(0);
	values[0] = values[0]! + yMean;
	const reach = degreesOfFreedom > 0 && factor > 0 ? tQuantile(0.975, degreesOfFreedom) : 1.959963984540054;
	const coefficients = values.map((value, k): Coefficient => {
		const error = factor * Math.hypot(...rows.getRow(k));
		return { value, u: error, low: value - reach * error, high: value + reach * error };
	});
	const totalOfSquares = weightedTotal(y, root);
	return {
		intercept: coefficients[0]!,
		slopes: coefficients.slice(1),
		residualSd,
		degreesOfFreedom,
		rSquared: totalOfSquares > 0 ? 1 - sumOfSquares / totalOfSquares : 1,
	};
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
