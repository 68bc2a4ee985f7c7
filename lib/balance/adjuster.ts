import { Matrix } from 'ml-matrix';
import type { Quantity } from '../quantity/quantity';
import { type GeneralisedInverse, inverseOfCovariance, pseudoInverseOf } from './generalisedInverse';

/**
 * Linear balances between measured amounts x and unmeasured amounts z: measured * x + unmeasured * z = constants.
 *
 * One row per balance; `measured` is rows x measured amounts, `unmeasured` rows x unmeasured amounts.
 */
export interface LinearBalances {
	readonly measured: readonly (readonly number[])[];
	readonly unmeasured?: readonly (readonly number[])[];
	readonly constants?: readonly number[];
}

/**
 * Everything about an adjustment that does not depend on the measured values, worked out once and used for every draw.
 *
 * Adjusted x = x - gain * imbalance(x); unmeasured z = resolve * (constants - measured * adjusted x).
 */
export interface Adjuster {
	readonly measured: Matrix;
	readonly constants: readonly number[];
	/** The balances with the unmeasured amounts eliminated: what is left to test the measurements with. */
	readonly testable: Matrix;
	readonly projector: Matrix;
	readonly covariance: Matrix;
	readonly imbalance: GeneralisedInverse;
	readonly gain: Matrix;
	readonly resolve: Matrix;
	/** Projector on the combinations of unmeasured amounts that no balance determines. */
	readonly undetermined: Matrix;
}

/**
 * Prepare the weighted least-squares adjustment of measured amounts under linear balances.
 *
 * Unmeasured amounts are eliminated by projection, so they need no starting value and no pretended uncertainty. The
 * covariance may be singular; amounts known exactly (a row of zeros) do not move.
 *
 * @param covariance - of the measured amounts, square, non-negative definite
 * @throws RangeError when the shapes do not fit
 * @source elimination by a projection matrix: Crowe, Garcia Campos and Hrymak, AIChE J. 29 (1983) 881; adjustment:
 *   Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000), chapter 3
 */
export function adjusterOf(balances: LinearBalances, covariance: readonly (readonly number[])[]): Adjuster {
	const rows = balances.measured.length;
	const count = covariance.length;
	const hidden = balances.unmeasured?.[0]?.length ?? 0;
	const fits =
		balances.measured.every((row) => row.length === count) &&
		covariance.every((row) => row.length === count) &&
		(balances.unmeasured === undefined || balances.unmeasured.length === rows);
	if (!fits) throw new RangeError(`balances and covariance must fit together, got ${rows} balances, ${count} amounts`);
	const measured = matrixOf(balances.measured, rows, count);
	const unmeasured = matrixOf(balances.unmeasured ?? balances.measured.map(() => []), rows, hidden);
	const V = matrixOf(covariance, count, count);
	const resolve = pseudoInverseOf(unmeasured);
	const projector = Matrix.eye(rows, rows).sub(unmeasured.mmul(resolve));
	const testable = withoutRounding(
		projector.mmul(measured),
		1e-11 * Math.max(0, ...measured.to1DArray().map(Math.abs)),
	);
	const across = V.mmul(testable.transpose());
	const scale = testable
		.to2DArray()
		.map((row) => row.reduce((sum, a, j) => sum + Math.abs(a) * Math.sqrt(V.get(j, j)), 0));
	const imbalance = inverseOfCovariance(testable.mmul(across), scale);
	return {
		measured,
		constants: balances.constants ?? new Array<number>(rows).fill(0),
		testable,
		projector,
		covariance: V,
		imbalance,
		gain: across.mmul(imbalance.inverse),
		resolve,
		undetermined: Matrix.eye(hidden, hidden).sub(resolve.mmul(unmeasured)),
	};
}

/** What the balances miss by, unmeasured amounts eliminated: one number per balance, 0 where it closes. */
export function imbalanceOf({ measured, projector, constants }: Adjuster, values: ArrayLike<number>): Matrix {
	const gap = constants.map((constant, row) => rowTimes(measured, row, values) - constant);
	return projector.mmul(Matrix.columnVector(gap));
}

/**
 * The gross error along one direction of the measured amounts that would explain the misfit best, in units of the direction, with its
 * standard uncertainty: over it, so many standard deviations of evidence speak for that error.
 *
 * For amounts measured independently of each other and a direction along one of them this is the measurement test.
 *
 * @param direction - what one unit of the suspected error does to each measured amount
 * @returns 0 with no uncertainty where the balances say nothing about that direction
 * @source generalised likelihood ratio test: Narasimhan and Mah, AIChE J. 33 (1987) 1514; measurement test: Mah and
 *   Tamhane, AIChE J. 28 (1982) 828
 */
export function errorAlong(adjuster: Adjuster, gap: Matrix, direction: readonly number[]): Quantity {
	const effect = adjuster.testable.mmul(Matrix.columnVector([...direction]));
	const weighted = adjuster.imbalance.inverse.mmul(effect);
	const size = dot(effect, weighted);
	if (!(size > 0 && isFelt(adjuster, effect, direction))) return { value: 0, u: 0 };
	return { value: dot(gap, weighted) / size, u: 1 / Math.sqrt(size) };
}

/** What is left of terms that cancel is rounding: the balances don't feel that direction. */
function isFelt({ testable }: Adjuster, effect: Matrix, direction: readonly number[]): boolean {
	const terms = Matrix.abs(testable).mmul(Matrix.columnVector(direction.map(Math.abs)));
	return effect.norm() > 1e-9 * terms.norm();
}

/** True where the balances determine this combination of unmeasured amounts. */
export function isDetermined({ undetermined }: Adjuster, combination: readonly number[]): boolean {
	if (undetermined.rows === 0) return true;
	const free = undetermined.mmul(Matrix.columnVector([...combination]));
	return free.norm() <= 1e-7 * Math.max(1e-300, Matrix.columnVector([...combination]).norm());
}

/** One row of a matrix times a vector. */
export function rowTimes(matrix: Matrix, row: number, values: ArrayLike<number>): number {
	let sum = 0;
	for (let column = 0; column < matrix.columns; column++) sum += matrix.get(row, column) * values[column]!;
	return sum;
}

/** Scalar product of two columns. */
export function dot(a: Matrix, b: Matrix): number {
	return a.to1DArray().reduce((sum, value, index) => sum + value * b.get(index, 0), 0);
}

/** What an elimination leaves of a balance that vanishes is rounding; taken for a balance it would test noise against noise. */
function withoutRounding(matrix: Matrix, limit: number): Matrix {
	for (let i = 0; i < matrix.rows; i++) {
		for (let j = 0; j < matrix.columns; j++) if (Math.abs(matrix.get(i, j)) <= limit) matrix.set(i, j, 0);
	}
	return matrix;
}

/** A matrix of that shape; the shape is given because an empty list has none. */
function matrixOf(rows: readonly (readonly number[])[], rowCount: number, columnCount: number): Matrix {
	const matrix = Matrix.zeros(rowCount, columnCount);
	rows.forEach((row, i) => {
		row.forEach((value, j) => {
			matrix.set(i, j, value);
		});
	});
	return matrix;
}
