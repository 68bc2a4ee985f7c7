import { EigenvalueDecomposition, Matrix, SingularValueDecomposition } from 'ml-matrix';

/** What is smaller than this, as a share of the largest of its kind, is rounding and counts as nothing. */
const RANK_TOLERANCE = 1e-9;

/** An inverse on the part of space that a matrix reaches, and the dimension of that part. */
export interface GeneralisedInverse {
	readonly inverse: Matrix;
	readonly rank: number;
}

/**
 * Generalised inverse of a covariance matrix that may be singular: rows of exactly known amounts, or combinations (the
 * sum of shares) that are known exactly although their parts are not.
 *
 * The matrix is brought to the form of a correlation matrix first, so that a stream of grams is not taken for rounding
 * beside a stream of tonnes.
 *
 * @param covariance - symmetric, non-negative definite
 * @param scale - per row, the standard deviation it would have without cancellation; what falls below 1e-7 of it is rounding
 * @source generalised least squares with a singular covariance: Rao, Linear Statistical Inference (1973), section 4i
 */
export function inverseOfCovariance(covariance: Matrix, scale: readonly number[]): GeneralisedInverse {
	const size = covariance.rows;
	const weight = scale.map((full, row) => {
		const variance = covariance.get(row, row);
		return variance > (1e-7 * full) ** 2 && variance > 0 ? 1 / Math.sqrt(variance) : 0;
	});
	const correlation = Matrix.zeros(size, size);
	for (let i = 0; i < size; i++) {
		for (let j = 0; j < size; j++) {
			const both = (covariance.get(i, j) + covariance.get(j, i)) / 2;
			correlation.set(i, j, both * weight[i]! * weight[j]!);
		}
	}
	if (size === 0) return { inverse: correlation, rank: 0 };
	const eigen = new EigenvalueDecomposition(correlation, { assumeSymmetric: true });
	const vectors = eigen.eigenvectorMatrix;
	const largest = Math.max(...eigen.realEigenvalues);
	const inverse = Matrix.zeros(size, size);
	let rank = 0;
	eigen.realEigenvalues.forEach((value, index) => {
		if (!(value > RANK_TOLERANCE * largest)) return;
		rank++;
		const vector = vectors.getColumnVector(index);
		inverse.add(vector.mmul(vector.transpose()).div(value));
	});
	for (let i = 0; i < size; i++)
		for (let j = 0; j < size; j++) inverse.set(i, j, inverse.get(i, j) * weight[i]! * weight[j]!);
	return { inverse, rank };
}

/**
 * Moore-Penrose inverse of any matrix, with the rank decided by its singular values.
 *
 * @returns a matrix of the transposed shape
 */
export function pseudoInverseOf(matrix: Matrix): Matrix {
	if (matrix.rows === 0 || matrix.columns === 0) return Matrix.zeros(matrix.columns, matrix.rows);
	const svd = new SingularValueDecomposition(matrix, { autoTranspose: true });
	const largest = Math.max(...svd.diagonal);
	const inverse = Matrix.zeros(matrix.columns, matrix.rows);
	svd.diagonal.forEach((value, index) => {
		if (!(value > RANK_TOLERANCE * largest)) return;
		const right = svd.rightSingularVectors.getColumnVector(index);
		const left = svd.leftSingularVectors.getColumnVector(index);
		inverse.add(right.mmul(left.transpose()).div(value));
	});
	return inverse;
}
