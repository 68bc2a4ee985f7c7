import { quantileWithin } from '../quantity/estimateOf';
import { propagate } from '../quantity/propagate';
import type { Estimate } from '../quantity/quantity';

/** A figure of the account: its best value and its draws. Draws that mean nothing (a share of nothing) are NaN. */
export interface Drawn {
	readonly value: number;
	readonly draws: Float64Array;
}

/** A figure worked out from others, draw by draw and at their best values. */
export function drawnFrom<const Inputs extends readonly Drawn[]>(
	inputs: Inputs,
	model: (...values: { [Index in keyof Inputs]: number }) => number,
): Drawn {
	// propagate's tuple has the length of `inputs`, which the mapped types cannot show
	const apply = model as (...values: number[]) => number;
	return {
		value: apply(...inputs.map(({ value }) => value)),
		draws: propagate(
			inputs.map(({ draws }) => draws),
			apply,
		),
	};
}

/** Sum of figures; undefined when one is missing or there is none. */
export function sumOfDrawn(figures: readonly (Drawn | undefined)[]): Drawn | undefined {
	const present = figures.filter((figure) => figure !== undefined);
	if (present.length === 0 || present.length < figures.length) return undefined;
	return drawnFrom(present, (...values: number[]) => values.reduce((sum, value) => sum + value, 0));
}

/** Quotient of two figures; undefined when either is missing or the best value of the divisor is not above 0. */
export function ratioOfDrawn(part: Drawn | undefined, whole: Drawn | undefined): Drawn | undefined {
	if (part === undefined || whole === undefined || !(whole.value > 0)) return undefined;
	// most of what an account works out: a loop of its own
	const draws = new Float64Array(part.draws.length);
	for (let i = 0; i < draws.length; i++) draws[i] = whole.draws[i]! > 0 ? part.draws[i]! / whole.draws[i]! : Number.NaN;
	return { value: part.value / whole.value, draws };
}

/**
 * Best value and 95 % interval of a figure; the interval always holds the value.
 *
 * @param ceiling - given where the figure cannot be told from nothing: its interval then begins at 0 and ends no lower than this one's
 * @returns undefined where the figure is missing or one draw in twenty or more means nothing
 * @source JCGM 101:2008 7.7 (probabilistically symmetric coverage interval)
 */
export function estimateOfDrawn(figure: Drawn | undefined, ceiling?: Drawn): Estimate | undefined {
	if (figure === undefined || !Number.isFinite(figure.value)) return undefined;
	const { value, draws } = figure;
	const meaningful = new Float64Array(draws.length);
	let count = 0;
	for (let i = 0; i < draws.length; i++) if (Number.isFinite(draws[i])) meaningful[count++] = draws[i]!;
	if (count <= 0.95 * draws.length) return undefined;
	const low = Math.min(quantileWithin(meaningful, count, 0.025), value);
	const high = Math.max(quantileWithin(meaningful, count, 0.975), value);
	if (ceiling === undefined) return { value, low, high };
	const most = Math.max(high, estimateOfDrawn(ceiling)?.high ?? high);
	return { value, low: Math.min(0, low), high: most, belowDetectionLimit: true };
}

/** A figure's estimate whose range also holds what the figure comes to elsewhere, where that is another figure. */
export function estimateReaching(
	figure: Drawn | undefined,
	...elsewhere: readonly (Drawn | undefined)[]
): Estimate | undefined {
	const own = estimateOfDrawn(figure);
	const others = elsewhere.flatMap((other) => (other === figure ? [] : (estimateOfDrawn(other) ?? [])));
	if (own === undefined || others.length === 0) return own;
	return {
		...own,
		low: Math.min(own.low, ...others.map(({ low }) => low)),
		high: Math.max(own.high, ...others.map(({ high }) => high)),
	};
}

/**
 * The chance of lying above nought that can be claimed whichever of some worlds is the true one: that between theirs which is nearest to a
 * half.
 */
export function chanceAboveZero(worlds: readonly Drawn[]): number {
	return surestChance(worlds.map(({ draws }) => shareAboveZero(draws)));
}

/** The same from the worlds' own chances. */
export function surestChance(chances: readonly number[]): number {
	return Math.max(Math.min(0.5, Math.max(...chances)), Math.min(...chances));
}

/** Share of the meaningful draws above zero; draws of exactly zero count half. */
function shareAboveZero(draws: Float64Array): number {
	let [above, count] = [0, 0];
	for (const draw of draws) {
		if (!Number.isFinite(draw)) continue;
		count++;
		above += draw > 0 ? 1 : draw === 0 ? 0.5 : 0;
	}
	return above / count;
}
