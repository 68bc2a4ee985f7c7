import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { covarianceOf, meanOf } from '../quantity/moments';

/** Mean of the second group less that of the first, with its 95 % interval. */
export interface RepeatsDifference {
	readonly difference: number;
	readonly low: number;
	readonly high: number;
	readonly t: number;
	/** Not a whole number as a rule. */
	readonly degreesOfFreedom: number;
}

/**
 * Difference between two groups of repeated runs, from their scatter alone, so that what a run differs from itself is in
 * the interval (Welch's method: the groups may scatter differently).
 *
 * @param first - outcomes of at least two runs at one setting
 * @param second - the same at another
 * @throws RangeError when a group has fewer than two runs
 * @source Welch, Biometrika 34 (1947) 28; degrees of freedom as in NIST/SEMATECH e-Handbook 1.3.5.3
 */
export function repeatsDifferenceOf(first: readonly number[], second: readonly number[]): RepeatsDifference {
	if (first.length < 2 || second.length < 2) throw new RangeError('each setting needs at least two runs');
	const moments = [first, second].map((group) => ({
		mean: meanOf(group),
		variance: covarianceOf(group, group),
		count: group.length,
	}));
	return welchOf(moments[0]!, moments[1]!);
}

/** The same from each group's mean, sample variance and count. */
export function welchOf(
	first: { readonly mean: number; readonly variance: number; readonly count: number },
	second: { readonly mean: number; readonly variance: number; readonly count: number },
): RepeatsDifference {
	const parts = [first, second].map(({ variance, count }) => variance / count);
	const squared = parts[0]! + parts[1]!;
	const difference = second.mean - first.mean;
	// no scatter at all: nothing to widen the difference by
	if (squared === 0)
		return { difference, low: difference, high: difference, t: Number.POSITIVE_INFINITY, degreesOfFreedom: 1 };
	const degreesOfFreedom = squared ** 2 / (parts[0]! ** 2 / (first.count - 1) + parts[1]! ** 2 / (second.count - 1));
	const reach = tQuantile(0.975, degreesOfFreedom) * Math.sqrt(squared);
	return {
		difference,
		low: difference - reach,
		high: difference + reach,
		t: difference / Math.sqrt(squared),
		degreesOfFreedom,
	};
}

/** A run by the settings it was run at and what came out; the outcome is missing where it is not known. */
export interface RepeatedRun {
	readonly name: string;
	readonly settings: string;
	readonly outcome?: number | undefined;
	/** Which lot it was fed from. */
	readonly lot?: string | undefined;
	/** Settings that were not noted for this run but for another one. */
	readonly notNoted?: readonly string[];
}

/** Two settings, each run at least twice, and the difference between them. */
export interface Repeats extends RepeatsDifference {
	readonly first: readonly string[];
	readonly second: readonly string[];
	/** The runs of the two settings were not fed from the same lots. */
	readonly lotsDiffer: boolean;
	/** Settings that some of the runs did not note, so that they may have differed or not. */
	readonly notNoted: readonly string[];
}

/**
 * Setting against setting, where the runs are of exactly two settings and each was run at least twice.
 *
 * @param runs - the first one's setting is the one that the other is set against
 * @returns undefined where there is nothing of the kind
 */
export function repeatsOf(runs: readonly RepeatedRun[]): Repeats | undefined {
	const groups = new Map<string, (RepeatedRun & { readonly outcome: number })[]>();
	for (const run of runs) {
		if (run.outcome === undefined) return undefined;
		groups.set(run.settings, [...(groups.get(run.settings) ?? []), { ...run, outcome: run.outcome }]);
	}
	const [first, second, third] = [...groups.values()];
	if (first === undefined || second === undefined || third !== undefined) return undefined;
	if (first.length < 2 || second.length < 2) return undefined;
	const outcomes = (group: typeof first) => group.map(({ outcome }) => outcome);
	const names = (group: typeof first) => group.map(({ name }) => name);
	const lots = [first, second].map((group) => JSON.stringify([...new Set(group.map(({ lot }) => lot))].toSorted()));
	return {
		...repeatsDifferenceOf(outcomes(first), outcomes(second)),
		...{ first: names(first), second: names(second) },
		lotsDiffer: lots[0] !== lots[1],
		notNoted: [...new Set(runs.flatMap(({ notNoted }) => notNoted ?? []))],
	};
}
