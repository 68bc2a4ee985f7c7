import { Matrix } from 'ml-matrix';
import type { Adjuster } from './adjuster';
import type { Form } from './layout';

/** An adjustment as one matrix: from measured entries to the outputs asked for. */
export interface AdjustmentMap {
	readonly outputs: number;
	readonly inputs: number;
	/** outputs x inputs, row-major. */
	readonly weights: Float64Array;
}

/**
 * Fold an adjustment and the combinations wanted of it into one matrix, so that a draw costs one product.
 *
 * @param forms - combinations of adjusted entries and unmeasured amounts; all balances must have constants of 0
 */
export function adjustmentMapOf(adjuster: Adjuster, forms: readonly Form[]): AdjustmentMap {
	const inputs = adjuster.measured.columns;
	const adjusted = Matrix.eye(inputs, inputs).sub(adjuster.gain.mmul(adjuster.testable));
	const unmeasured = adjuster.resolve.mmul(adjuster.measured).mmul(adjusted).mul(-1);
	const weights = new Float64Array(forms.length * inputs);
	forms.forEach((form, output) => {
		for (let input = 0; input < inputs; input++) {
			let sum = 0;
			form.entries.forEach((weight, entry) => {
				if (weight !== 0) sum += weight * adjusted.get(entry, input);
			});
			form.unknowns.forEach((weight, unknown) => {
				if (weight !== 0) sum += weight * unmeasured.get(unknown, input);
			});
			weights[output * inputs + input] = sum;
		}
	});
	return { outputs: forms.length, inputs, weights };
}

/** The outputs for one set of measured entries. */
export function applyMap({ outputs, inputs, weights }: AdjustmentMap, measured: ArrayLike<number>): Float64Array {
	const result = new Float64Array(outputs);
	for (let output = 0; output < outputs; output++) {
		let sum = 0;
		for (let input = 0; input < inputs; input++) sum += weights[output * inputs + input]! * measured[input]!;
		result[output] = sum;
	}
	return result;
}
