import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { covarianceOf, meanOf } from '../quantity/moments';
import type { ComparableRun } from './compareRuns';
import type { Drawn } from './drawn';
import { regressionOf } from './settingRegression';

/** What would tell two runs apart by a figure: more spreads of one bin in each run. */
export interface Settle {
	readonly product: string;
	/** More spreads of that bin, in each of the two runs. */
	readonly spreads: number;
}

/** More spreads than this of one bin nobody lays out (our choice). */
export const MOST_SPREADS = 30;

/**
 * The bin whose further spreads would settle an open difference with the least work, if the difference stays as it is.
 *
 * The difference's draws are regressed on the bins' copper grades to find how much of its variance each bin brings; what
 * both runs share (their covariance, in proportion to their grades) is not made smaller by more spreads, the rest shrinks
 * with their number.
 * Limit: linear in the grades; all of a bin's own variance is taken to come from its spreads.
 *
 * @param difference - draws of the difference, in whose interval zero lies
 * @param spreadsOf - how many spreads of a product a run has; 0 where that is not known
 * @returns `never` where no reasonable number of spreads of one bin would do; undefined where no bin of both runs has spreads
 * @source first-order variance decomposition: Saltelli et al., Global Sensitivity Analysis (2008), chapter 1
 */
export function settleOf(
	base: ComparableRun,
	other: ComparableRun,
	difference: Drawn,
	spreadsOf: (run: ComparableRun, productId: string) => number,
): Settle | 'never' | undefined {
	const pairs = base.account.products.flatMap(({ id, name }) => {
		const twin = other.account.products.find((product) => product.name === name);
		const grades = [base.draws.products[id], twin && other.draws.products[twin.id]].map(
			(stream) => stream?.massFraction.copper?.draws,
		);
		const [first, second] = grades;
		if (twin === undefined || first === undefined || second === undefined) return [];
		if (!varies(first) || !varies(second)) return [];
		return [{ name, first, second, counts: [spreadsOf(base, id), spreadsOf(other, twin.id)] as const }];
	});
	const slopes = slopesOf(
		pairs.flatMap(({ first, second }) => [first, second]),
		difference.draws,
	);
	if (slopes === undefined) return undefined;
	const variance = covarianceOf(difference.draws, difference.draws);
	const wanted = (difference.value / COVERAGE_FACTOR) ** 2;
	const found = pairs.flatMap(({ name, first, second, counts }, k) => {
		const own = ownVariances(first, second).map((part, run) => part * slopes[2 * k + run]! ** 2);
		const spreads = fewestSpreads(variance - wanted, own, counts);
		return spreads === undefined ? [] : [{ product: name, spreads }];
	});
	const fewest = found.sort((a, b) => a.spreads - b.spreads).at(0);
	if (fewest !== undefined) return fewest;
	return pairs.some(({ counts }) => counts.every((count) => count > 0)) ? 'never' : undefined;
}

/** The fewest more spreads a run that take so much variance off. */
function fewestSpreads(excess: number, own: readonly number[], counts: readonly number[]): number | undefined {
	if (counts.some((count) => !(count > 0))) return undefined;
	for (let more = 1; more <= MOST_SPREADS; more++) {
		const less = own.reduce((sum, part, run) => sum + (part * more) / (counts[run]! + more), 0);
		if (less >= excess) return more;
	}
	return undefined;
}

function slopesOf(columns: readonly Float64Array[], y: Float64Array): readonly number[] | undefined {
	if (columns.length === 0 || y.some((value) => !Number.isFinite(value))) return undefined;
	try {
		return regressionOf(
			columns.map((column) => Array.from(column)),
			Array.from(y),
		).slopes.map(({ value }) => value);
	} catch (cause) {
		if (cause instanceof RangeError) return undefined;
		throw cause;
	}
}

/** What is each run's own in the variance of one bin's grade; the shared part goes with the grade itself. */
function ownVariances(first: Float64Array, second: Float64Array): readonly [number, number] {
	const [a, b] = [meanOf(first), meanOf(second)];
	const shared = Math.max(0, covarianceOf(first, second));
	const own = (draws: Float64Array, scale: number) => {
		const all = covarianceOf(draws, draws);
		return Math.max(0, all - Math.min(all, shared * scale));
	};
	return a > 0 && b > 0 ? [own(first, a / b), own(second, b / a)] : [own(first, 1), own(second, 1)];
}

function varies(draws: Float64Array): boolean {
	return draws.every(Number.isFinite) && covarianceOf(draws, draws) > 0;
}
