import { Matrix, solve } from 'ml-matrix';
import { covarianceOf } from './moments';
import { perName } from './perName';

/** What one group of inputs does to a figure. */
export interface GroupEffect {
	/** Standard deviation of the figure as far as the group moves it. */
	readonly u: number;
	/** Its share of the figure's variance that all groups together explain, 0 to 1. */
	readonly varianceShare: number;
}

/**
 * Shares of a figure's variance by groups of its inputs, from the very draws that the figure has: first-order indices by regression.
 *
 * The figure is regressed on all inputs together, `y = sum of f_g + rest`. A group's share is `cov(f_g, y) / var(y)`: for independent inputs
 * and a linear figure the first-order index V(E(y | group)) / V(y). A group that pulls against the rest (a check may tie them) counts as
 * nought. Shares are of what is explained and sum to one; all are nought where nothing moves the figure.
 *
 * @param draws - the figure, one number a world, all finite
 * @param groups - per group the draws of its inputs in the same worlds; inputs that stand still count as none
 * @source A. Saltelli et al., Global Sensitivity Analysis: The Primer (2008), 1.2 and 4.2 (regression coefficients and first-order
 *   indices); shares by covariance where inputs hang together: G. Li et al., J. Phys. Chem. A 114 (2010) 6022 (both from memory)
 */
export function varianceShares<Name extends string>(
	draws: Float64Array,
	groups: Readonly<Record<Name, readonly Float64Array[]>>,
): Readonly<Record<Name, GroupEffect>> {
	const names = Object.keys(groups) as Name[]; // the record's own keys
	const inputs = names.flatMap((name) =>
		groups[name].flatMap((own) => {
			const sd = Math.sqrt(covarianceOf(own, own));
			return sd > STANDS_STILL * Math.max(...own.map(Math.abs)) ? [{ name, own, sd }] : [];
		}),
	);
	const slopes = slopesOf(draws, inputs);
	const parts = perName(names, (name) => {
		const part = new Float64Array(draws.length);
		for (const [k, input] of inputs.entries()) {
			if (input.name !== name) continue;
			for (let i = 0; i < part.length; i++) part[i]! += slopes[k]! * input.own[i]!;
		}
		return { u: Math.sqrt(covarianceOf(part, part)), along: Math.max(0, covarianceOf(part, draws)) };
	});
	const all = names.reduce((sum, name) => sum + parts[name].along, 0);
	return perName(names, (name) => {
		const { u, along } = parts[name];
		return { u, varianceShare: all > 0 ? along / all : 0 };
	});
}

/** Relative standard deviation below which an input stands still but for rounding. */
const STANDS_STILL = 1e-9;

/** On the diagonal, so that inputs which say the same leave a solution. */
const RIDGE = 1e-8;

/** Least squares on inputs scaled to one; inputs that say the same share the slope. */
function slopesOf(
	draws: Float64Array,
	inputs: readonly { readonly own: Float64Array; readonly sd: number }[],
): readonly number[] {
	if (inputs.length === 0) return [];
	const between = new Matrix(
		inputs.map((a, i) => inputs.map((b, j) => covarianceOf(a.own, b.own) / (a.sd * b.sd) + (i === j ? RIDGE : 0))),
	);
	const along = Matrix.columnVector(inputs.map(({ own, sd }) => covarianceOf(own, draws) / sd));
	return solve(between, along)
		.to1DArray()
		.map((slope, k) => slope / inputs[k]!.sd);
}
