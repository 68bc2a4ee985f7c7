import type { Matrix } from 'ml-matrix';
import {
	type Adjuster,
	adjusterOf,
	dot,
	errorAlong,
	imbalanceOf,
	isDetermined,
	type LinearBalances,
	rowTimes,
} from '@/lib/balance/adjuster';
import { probabilityOf } from '@/lib/balance/misfitProbability';
import type { Quantity } from '@/lib/quantity/quantity';

/** Measured amounts brought to agree with their balances by the smallest weighted change. */
export interface Reconciliation {
	readonly values: readonly number[];
	readonly covariance: readonly (readonly number[])[];
	/** Standard uncertainty of each reconciled value, never above that of the measured one. */
	readonly u: readonly number[];
	/** Reconciled minus measured. */
	readonly adjustments: readonly number[];
	/** What each balance misses by before reconciling, unmeasured amounts eliminated. */
	readonly residuals: readonly number[];
	/** Global test statistic: how surprising the misfit is. */
	readonly chiSquare: number;
	readonly degreesOfFreedom: number;
	/** Chance of a misfit at least this large if all stated uncertainties are right; undefined where nothing can be tested. */
	readonly probability?: number;
	/** Per measured amount: standard deviations of evidence that it holds a gross error (0 where known exactly or untestable). */
	readonly suspicion: readonly number[];
	readonly unmeasured: readonly { readonly value: number; readonly u: number; readonly isDetermined: boolean }[];
	/** Largest imbalance that no allowed change can remove (amounts stated as exact contradict each other); 0 up to rounding otherwise. */
	readonly unclosed: number;
}

/** Measured amounts and what they must agree with. `covariance` is square; a plain list is taken as variances. */
export interface Measured {
	readonly values: readonly number[];
	readonly covariance: readonly number[] | readonly (readonly number[])[];
}

/**
 * Reconcile measured amounts under linear balances by weighted least squares: x* = x - V A'(A V A')^-1 (A x - b).
 *
 * @source Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000), chapters 3 and 7
 * @throws RangeError when the shapes do not fit
 */
export function reconcile(measured: Measured, balances: LinearBalances): Reconciliation {
	const covariance = squareOf(measured.covariance);
	const adjuster = adjusterOf(balances, covariance);
	const gap = imbalanceOf(adjuster, measured.values);
	const { V, adjustments, values } = adjusted(adjuster, measured.values, gap);
	const statistic = dot(gap, adjuster.imbalance.inverse.mmul(gap));
	const degreesOfFreedom = adjuster.imbalance.rank;
	const probability = probabilityOf(statistic, degreesOfFreedom);
	return {
		values,
		covariance: V.to2DArray(),
		u: values.map((_, index) => Math.sqrt(Math.max(0, V.get(index, index)))),
		adjustments,
		residuals: gap.to1DArray(),
		chiSquare: statistic,
		degreesOfFreedom,
		...(probability === undefined ? {} : { probability }),
		suspicion: values.map((_, index) =>
			covariance[index]![index]! > 0
				? suspicionIn(
						errorAlong(
							adjuster,
							gap,
							values.map((_, other) => (other === index ? 1 : 0)),
						),
					)
				: 0,
		),
		unmeasured: unmeasuredOf(adjuster, values, V),
		unclosed: Math.max(0, ...imbalanceOf(adjuster, values).to1DArray().map(Math.abs)),
	};
}

function suspicionIn({ value, u }: Quantity): number {
	return u > 0 ? Math.abs(value) / u : 0;
}

/**
 * Reconcile under balances that are not linear (mass times grade) by linearising about the last result until it stays.
 *
 * @param balances - what each balance misses by at x, and its slopes there (rows x measured amounts)
 * @throws RangeError when 50 rounds do not settle: the balances are far from linear within the uncertainties
 * @source successive linearisation: Narasimhan and Jordache (2000), chapter 5
 */
export function reconcileNonlinear(
	measured: Measured,
	balances: (x: readonly number[]) => {
		readonly residuals: readonly number[];
		readonly slopes: readonly (readonly number[])[];
	},
): Reconciliation {
	let x = measured.values;
	for (let round = 0; round < 50; round++) {
		const { residuals, slopes } = balances(x);
		const constants = residuals.map((gap, row) => slopes[row]!.reduce((sum, slope, j) => sum + slope * x[j]!, -gap));
		const result = reconcile(measured, { measured: slopes, constants });
		const change = Math.max(...result.values.map((value, index) => Math.abs(value - x[index]!)));
		const size = Math.max(...result.values.map(Math.abs));
		if (change <= 1e-12 * size) return result;
		x = result.values;
	}
	throw new RangeError('the balances did not settle in 50 rounds of linearising');
}

function adjusted(adjuster: Adjuster, measured: readonly number[], gap: Matrix) {
	const adjustments = adjuster.gain.mmul(gap).mul(-1).to1DArray();
	const V = adjuster.covariance.clone().sub(adjuster.gain.mmul(adjuster.testable).mmul(adjuster.covariance));
	return { V, adjustments, values: measured.map((value, index) => value + adjustments[index]!) };
}

function unmeasuredOf(adjuster: Adjuster, values: readonly number[], V: Matrix): Reconciliation['unmeasured'] {
	const left = adjuster.constants.map((constant, row) => constant - rowTimes(adjuster.measured, row, values));
	const slopes = adjuster.resolve.mmul(adjuster.measured);
	const spread = slopes.mmul(V).mmul(slopes.transpose());
	return Array.from({ length: adjuster.resolve.rows }, (_, index) => ({
		value: rowTimes(adjuster.resolve, index, left),
		u: Math.sqrt(Math.max(0, spread.get(index, index))),
		isDetermined: isDetermined(
			adjuster,
			Array.from({ length: adjuster.resolve.rows }, (_, other) => (other === index ? 1 : 0)),
		),
	}));
}

function squareOf(covariance: Measured['covariance']): number[][] {
	return covariance.map((row, i) =>
		typeof row === 'number' ? covariance.map((_, j) => (i === j ? row : 0)) : [...row],
	);
}
