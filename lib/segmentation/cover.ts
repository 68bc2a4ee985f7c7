import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { barePixels } from './barePixels';
import { type ClassMap, relabelled } from './classMap';
import { joinRuns, type Runs, runsOf, runsOfMap } from './labelRuns';
import type { Light } from './light';
import { CODES, IS_METAL, type MeanColours, meanColours } from './meanColours';
import { LIGHT_TILE_PX, type LightGains, lightGains } from './reflectanceTiles';
import { thinParts } from './thinParts';
import type { Rgb } from './unmixing';

/** Squared distance in linear light between metal and surface below which they cannot be unmixed: 0.1 of white. */
const LEAST_CONTRAST = 0.01;

/**
 * Covered share of the pixels of thin metal strands, for any label map.
 *
 * A strand about a pixel wide mixes with the surface on every pixel it touches. In linear light the mix is a straight line
 * from the surface's colour near by to the metal's mean colour on this photo, and a pixel's place on it is its covered
 * share. The shares are summed over each thin part and the bare pixels that border it, and spread evenly over the part's
 * pixels: single pixels are too noisy, and metal glints. Thick parts, other classes and strands that touch pieces keep
 * whole pixels, as what their rims lose on one side they win on the other.
 * Limit: a strand darker or brighter than its metal's mean is read too thick or too thin; needs metal and surface to differ.
 *
 * @returns the map with `cover`
 * @source linear mixing, a = ((c - c2).(c1 - c2))/|c1 - c2|^2; bounded by tests/segmentation/cover.test.ts
 */
export function coverOf(raster: Raster, surface: Surface, light: Light, map: ClassMap): ClassMap {
	const runs = runsOfMap(map);
	const thin = thinParts(map.labels, map.width, map.height, IS_METAL);
	const gains = lightGains(surface, light, map);
	return coverFromShares(
		map,
		thin,
		new SharesBetween(raster, light, map, gains, meanColours(raster, light, map, thin, runs, gains)),
	);
}

/** Says how much of single pixels pieces cover. */
export interface CoveredShares {
	/** Add to `sum[0]` the shares that a piece of class `code` covers of the pixels from one to another (not included) of a row. */
	addTo(sum: Float64Array, from: number, to: number, code: number): void;
}

/**
 * Covered share of thin parts from a covered share of single pixels: summed over each thin part and the bare pixels that
 * border it alone, and spread evenly over the part's pixels. Everything else is covered whole.
 *
 * @param thin - class code where a thin part is, else 0 (lib/segmentation/thinParts.ts)
 */
export function coverFromShares(map: ClassMap, thin: Uint8Array, shares: CoveredShares): ClassMap {
	const { width, height, labels } = map;
	const parts = runsOf(thin, width, height);
	const { count, region } = joinRuns(parts);
	const sums = new PartSums(barePixels(labels, thin, width, height), parts, region, count, shares);
	for (let row = 0; row < height; row++) sums.addRow(row);
	const cover = new Uint8Array(labels.length).fill(255);
	for (let row = 0; row < height; row++) sums.coverRow(row, cover);
	return relabelled(map, labels, cover);
}

/** Sums of covered shares over thin parts, row by row. */
class PartSums {
	private readonly sums: Float64Array;
	private readonly pixels: Uint32Array;
	// one number that stays in place: given back from a function it would be made anew each time
	private readonly sum = new Float64Array(1);
	constructor(
		/** 1 at bare pixels that border no thick piece, until they are added. */
		private readonly left: Uint8Array,
		private readonly parts: Runs,
		private readonly region: Int32Array,
		count: number,
		private readonly shares: CoveredShares,
	) {
		this.sums = new Float64Array(count + 1);
		this.pixels = new Uint32Array(count + 1);
	}
	/** Add a row's runs: their own pixels, then the bare ones beside and below and above them, each once. */
	addRow(row: number): void {
		const { shares, sum } = this;
		const { firstOfRow, start, end, label, width, height } = this.parts;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const part = this.region[run]!;
			const code = label[run]!;
			const from = start[run]!;
			const to = end[run]!;
			this.pixels[part]! += to - from;
			sum[0] = 0;
			shares.addTo(sum, from, to, code);
			if (row > 0 && row < height - 1) {
				const first = Math.max(row * width, from - 1);
				const last = Math.min((row + 1) * width - 1, to);
				for (let line = -width; line <= width; line += width) this.addBare(first + line, last + line, code);
			}
			this.sums[part]! += sum[0]!;
		}
	}
	/** Add the bare pixels from one to another that no run before had, stretches of them at once. */
	private addBare(first: number, last: number, code: number): void {
		const { left, shares, sum } = this;
		let from = first;
		for (let i = first; i <= last; i++) {
			if (left[i] === 1) {
				left[i] = 0;
				continue;
			}
			if (from < i) shares.addTo(sum, from, i, code);
			from = i + 1;
		}
		if (from <= last) shares.addTo(sum, from, last + 1, code);
	}
	/** Write the covered share of a row's runs, once all rows are added. */
	coverRow(row: number, cover: Uint8Array): void {
		const { firstOfRow, start, end } = this.parts;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const part = this.region[run]!;
			const share = Math.max(0, Math.min(255, Math.round((255 * this.sums[part]!) / this.pixels[part]!)));
			for (let i = start[run]!, to = end[run]!; i < to; i++) cover[i] = share;
		}
	}
}

/**
 * Places of colours between the surface (0) and the metal (1), summed along a row; 1 where the two are too much alike to tell.
 *
 * A place is a sum of the photo's three levels; what they are multiplied by is worked out once a square of light and class.
 */
class SharesBetween implements CoveredShares {
	private readonly factors: Float64Array;
	private readonly known: Uint8Array;
	private readonly reds: Float32Array;
	private readonly greens: Float32Array;
	private readonly blues: Float32Array;
	private readonly data: Uint8Array;
	private readonly width: number;
	/** From the first byte of a row of the map to that of the next on the photo, and where the first begins. */
	private readonly stride: number;
	private readonly origin: number;
	constructor(
		raster: Raster,
		{ tables }: Light,
		{ width, height, columnOffset, rowOffset }: ClassMap,
		private readonly gains: LightGains,
		private readonly colours: MeanColours,
	) {
		const places = gains.across * Math.ceil(height / LIGHT_TILE_PX) * CODES;
		this.factors = new Float64Array(FACTORS * places);
		this.known = new Uint8Array(places);
		[this.reds, this.greens, this.blues] = tables;
		this.data = raster.data;
		this.width = width;
		this.stride = 3 * raster.width;
		this.origin = 3 * (rowOffset * raster.width + columnOffset);
	}
	addTo(into: Float64Array, first: number, last: number, code: number): void {
		const { factors, data, reds, greens, blues } = this;
		const row = Math.floor(first / this.width);
		const base = row * this.width;
		const shift = this.origin + row * this.stride - 3 * base;
		const squaresOfRow = this.gains.across * Math.floor(row / LIGHT_TILE_PX);
		let sum = 0;
		// Hot loop.
		for (let from = first; from < last; ) {
			const square = Math.floor((from - base) / LIGHT_TILE_PX);
			const to = Math.min(last, base + (square + 1) * LIGHT_TILE_PX);
			const k = (squaresOfRow + square) * CODES + code;
			if (this.known[k] === 0) this.workOut(k, squaresOfRow + square, code, from);
			const red = factors[FACTORS * k]!;
			const green = factors[FACTORS * k + 1]!;
			const blue = factors[FACTORS * k + 2]!;
			sum += (to - from) * factors[FACTORS * k + 3]!;
			for (let at = 3 * from + shift, end = 3 * to + shift; at < end; at += 3)
				sum += reds[data[at]!]! * red + greens[data[at + 1]!]! * green + blues[data[at + 2]!]! * blue;
			from = to;
		}
		into[0]! += sum;
	}
	private workOut(k: number, square: number, code: number, pixel: number): void {
		this.known[k] = 1;
		const { gain } = this.gains;
		const [pure, bare] = [this.colours.metal[code], this.colours.bareAt(pixel)];
		const step = pure === undefined || bare === undefined ? undefined : stepBetween(bare, pure);
		const at = FACTORS * k;
		if (step === undefined || bare === undefined) this.factors[at + 3] = 1;
		else
			for (const c of [0, 1, 2] as const) {
				this.factors[at + c] = gain[3 * square + c]! * step[c];
				this.factors[at + 3]! -= bare[c] * step[c];
			}
	}
}

/** Numbers a square and class: one a channel, and one that stands alone. */
const FACTORS = 4;

/** What a colour's distance from the surface is multiplied by for its place towards the metal. */
function stepBetween(bare: Rgb, metal: Rgb): Rgb | undefined {
	const [r, g, b] = [metal[0] - bare[0], metal[1] - bare[1], metal[2] - bare[2]];
	const square = r * r + g * g + b * b;
	return square < LEAST_CONTRAST ? undefined : [r / square, g / square, b / square];
}
