import { BACKGROUND, CLASS_CODE } from '../material/classes';
import type { CellCounts } from './cells';
import type { Densities } from './colourDensities';
import { expectationOf } from './expectShares';
import type { Colour } from './lookupTable';
import { STEPS } from './stepTable';

/**
 * Weight of the usual shares when they are fitted to a photo, as a part of the photo's pixels. Chosen by area errors among 0.02, 0.1,
 * 0.3, 1 and 3 on the 110 close-ups; confirmed on whole trays that played no part in it.
 */
const PRIOR_WEIGHT = 0.3;
const ROUNDS = 25;
/**
 * Share of steel, grit and dirt among the pieces: taken as given, since their dull greys fit every shadow and would draw
 * shares to themselves. Some per cent at most in this trade (common practice, no source).
 */
const OTHER_SHARE = 0.02;

/**
 * Counts on a cube of half the steps, each coarse cell standing where its fullest fine cell is: shares need no finer one,
 * and there are five times fewer.
 */
export function coarseCounts({ count, used, cielab }: CellCounts): {
	readonly pixels: Float64Array;
	/** L, a, b of each. */
	readonly cielab: Float64Array;
} {
	const half = STEPS / 2;
	const sums = new Float64Array(half ** 3);
	const fullest = new Int32Array(half ** 3).fill(-1);
	for (let k = 0; k < used.length; k++) {
		const cell = used[k]!;
		const coarse = coarseOf(cell);
		sums[coarse]! += count[cell]!;
		const so = fullest[coarse]!;
		if (so === -1 || count[cell]! > count[used[so]!]!) fullest[coarse] = k;
	}
	return filled(sums, fullest, cielab);
}

/** The sums above nought with the colours of their places. */
function filled(sums: Float64Array, fullest: Int32Array, cielab: Float64Array) {
	const pixels = new Float64Array(sums.length);
	const colours = new Float64Array(cielab.length);
	let count = 0;
	for (let k = 0; k < sums.length; k++) {
		const place = fullest[k]!;
		if (place < 0) continue;
		pixels[count] = sums[k]!;
		for (let c = 0; c < 3; c++) colours[3 * count + c] = cielab[3 * place + c]!;
		count++;
	}
	return { pixels: pixels.slice(0, count), cielab: colours.slice(0, 3 * count) };
}

/** The cell of half the steps that holds a cell. */
function coarseOf(cell: number): number {
	const half = STEPS / 2;
	const red = Math.floor(cell / STEPS ** 2) >> 1;
	const green = (Math.floor(cell / STEPS) % STEPS) >> 1;
	return (red * half + green) * half + ((cell % STEPS) >> 1);
}

/**
 * How common each colour is on a photo.
 *
 * @param pixels - how many lie at each place
 * @param densities - of the colours at these places
 */
export function fitShares(colours: readonly Colour[], pixels: Float64Array, densities: Densities): Float64Array {
	const n = colours.length;
	const fours = FOUR * Math.ceil(n / FOUR);
	const density = inFours(densities, pixels.length, fours);
	const prior = Float64Array.from(colours, (colour) => colour.share);
	const weights = new Float64Array(fours);
	weights.set(prior);
	let total = 0;
	for (let k = 0; k < pixels.length; k++) total += pixels[k]!;
	const parts = new Float64Array(pixels.length);
	for (let k = 0; k < pixels.length; k++) parts[k] = pixels[k]! / total;
	const expected = new Float64Array(fours);
	const expect = expectationOf(parts, density, fours);
	for (let round = 0; round < ROUNDS && total > 0; round++) {
		expect(weights, expected);
		for (let c = 0; c < n; c++)
			weights[c] = (expected[c]! * weights[c]! + PRIOR_WEIGHT * prior[c]!) / (1 + PRIOR_WEIGHT);
		holdOther(weights.subarray(0, n), colours);
	}
	return weights.subarray(0, n);
}

/** Numbers worked on at a time. */
const FOUR = 4;

/** All densities of each place side by side, with zeros for colours that play no part and at the end of a row of `width`. */
function inFours({ first, colour, density }: Densities, places: number, width: number): Float64Array {
	const out = new Float64Array(places * width);
	for (let k = 0; k < places; k++)
		for (let i = first[k]!; i < first[k + 1]!; i++) out[k * width + colour[i]!] = density[i]!;
	return out;
}

/** Set the summed share of the class `other` to its given part of all pieces, keeping the sum of all shares at 1. */
function holdOther(weights: Float64Array, colours: readonly Colour[]): void {
	let bare = 0;
	let other = 0;
	for (let c = 0; c < weights.length; c++) {
		if (colours[c]!.code === BACKGROUND) bare += weights[c]!;
		if (colours[c]!.code === CLASS_CODE.other) other += weights[c]!;
	}
	const rest = 1 - bare - other;
	if (!(rest > 0 && other > 0)) return;
	const down = ((1 - bare) * OTHER_SHARE) / other;
	const up = ((1 - bare) * (1 - OTHER_SHARE)) / rest;
	for (let c = 0; c < weights.length; c++) {
		const { code } = colours[c]!;
		if (code === CLASS_CODE.other) weights[c]! *= down;
		else if (code !== BACKGROUND) weights[c]! *= up;
	}
}
