import { selectWithin } from '../quantity/estimateOf';

/** Linear, light-corrected colour: red, green, blue. */
export type Rgb = readonly [number, number, number];
/** A symmetric matrix of three by three: rr, rg, rb, gg, gb, bb. */
export type Symmetric3 = readonly [number, number, number, number, number, number];

/** Least squared part of copper's colour that the surface's own colour does not hold: below it, colour tells nothing. */
const LEAST_TINT = 1e-4;
/** Scatter below this is that of rounding to eight bits. */
const ROUNDING = 1e-5;
/** Differences beyond this many times their middle one are edges, not grain. */
const MOST_GRAIN = 4;
/** Fewest differences to tell a scatter. */
const LEAST_PAIRS = 500;

/**
 * What a colour is multiplied by, and summed, for the share of metal in a mix with the surface, however shaded the surface is: 1 for
 * the metal, 0 for the surface in any light of its tint.
 *
 * @returns undefined where metal and surface differ by lightness alone
 * @source least squares of colour = share x metal + shade x surface, solved for the share
 */
export function across(bare: Rgb, metal: Rgb): Rgb | undefined {
	const shade = dot(metal, bare) / dot(bare, bare);
	const tint: Rgb = [metal[0] - shade * bare[0], metal[1] - shade * bare[1], metal[2] - shade * bare[2]];
	const square = dot(tint, tint);
	return square > LEAST_TINT ? [tint[0] / square, tint[1] / square, tint[2] / square] : undefined;
}

/**
 * What a colour's distance from the surface is multiplied by, and summed, for the share of metal: 1 for the metal, 0 for the
 * surface, and of all such weights those by which the surface's grain counts least.
 *
 * @param scatter - covariance of the surface's grain
 * @returns undefined where metal and surface are alike
 * @source generalised least squares (A. Aitken, Proc. R. Soc. Edinb. 55 (1935) 42, from memory)
 */
export function along(bare: Rgb, metal: Rgb, scatter: Symmetric3): Rgb | undefined {
	const step: Rgb = [metal[0] - bare[0], metal[1] - bare[1], metal[2] - bare[2]];
	const weights = solve(scatter, step);
	const whole = dot(weights, step);
	return whole > 0 ? [weights[0] / whole, weights[1] / whole, weights[2] / whole] : undefined;
}

/**
 * Covariance of grain from differences between places near each other, edges left out.
 *
 * @param differences - three numbers each
 * @returns undefined for fewer than 500 differences
 */
export function differenceScatter(differences: Float64Array): Symmetric3 | undefined {
	const count = differences.length / 3;
	if (count < LEAST_PAIRS) return undefined;
	const greens = new Float64Array(count);
	for (let from = 0; from < count; from += AT_ONCE)
		takeGreens(differences, from, Math.min(count, from + AT_ONCE), greens);
	const most = MOST_GRAIN * selectWithin(greens, count, count >> 1);
	const sums = new Float64Array(7);
	for (let from = 0; from < count; from += AT_ONCE)
		addProducts(differences, from, Math.min(count, from + AT_ONCE), most, sums);
	const [rr, rg, rb, gg, gb, bb, kept] = sums as unknown as readonly [...Symmetric3, number]; // seven long
	return [rr / kept + ROUNDING, rg / kept, rb / kept, gg / kept + ROUNDING, gb / kept, bb / kept + ROUNDING];
}

/** Differences gone over in one go: a function entered often is compiled once and for all. */
const AT_ONCE = 1024;

function takeGreens(differences: Float64Array, from: number, to: number, greens: Float64Array): void {
	for (let k = from; k < to; k++) greens[k] = Math.abs(differences[3 * k + 1]!);
}

/** Adds the products of channels, and one for each difference whose green is no more than `most`. */
function addProducts(differences: Float64Array, from: number, to: number, most: number, sums: Float64Array): void {
	// Hot loop.
	for (let k = from; k < to; k++) {
		const g = differences[3 * k + 1]!;
		if (Math.abs(g) > most) continue;
		const r = differences[3 * k]!;
		const b = differences[3 * k + 2]!;
		sums[0]! += r * r;
		sums[1]! += r * g;
		sums[2]! += r * b;
		sums[3]! += g * g;
		sums[4]! += g * b;
		sums[5]! += b * b;
		sums[6]!++;
	}
}

/** The vector that the matrix makes `of`, by cofactors. */
function solve([a, b, c, d, e, f]: Symmetric3, of: Rgb): Rgb {
	const p = d * f - e * e;
	const q = c * e - b * f;
	const r = b * e - c * d;
	const s = b * c - a * e;
	const determinant = a * p + b * q + c * r;
	const [x, y, z] = of;
	return [
		(p * x + q * y + r * z) / determinant,
		(q * x + (a * f - c * c) * y + s * z) / determinant,
		(r * x + s * y + (a * d - b * b) * z) / determinant,
	];
}

/** Product of two colours, channel by channel, summed. */
export function dot(p: Rgb, q: Rgb): number {
	return p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
}
