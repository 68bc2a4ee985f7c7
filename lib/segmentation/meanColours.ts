import { CLASS_CODE, MATERIAL_CLASSES } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { ClassMap } from './classMap';
import type { Runs } from './labelRuns';
import type { Light } from './light';
import { LIGHT_TILE_PX, type LightGains } from './reflectanceTiles';
import type { Rgb } from './unmixing';

/** Side of the squares in which the bare surface's colour is averaged, px. */
const TILE_PX = 32;
/** One row in so many is averaged: a square still has hundreds of pixels. */
const ROWS_APART = 4;
/** Fewest pixels for a colour to be averaged. */
const LEAST_PIXELS = 50 / ROWS_APART;
/** Class codes run from 0 (bare surface) to the number of classes. */
export const CODES = MATERIAL_CLASSES.length + 1;

/** 255 at the codes of metals. */
export const IS_METAL = new Uint8Array(256);
for (const name of ['brightCopper', 'tinnedCopper', 'aluminium'] as const) IS_METAL[CLASS_CODE[name]] = 255;

/** Colours that shares are measured between. */
export class MeanColours {
	/**
	 * @param metal - of each metal where it is thick enough to fill its pixels, by class code
	 * @param bare - of the surface, square by square, `squares` in a row
	 */
	constructor(
		readonly metal: readonly (Rgb | undefined)[],
		private readonly bare: readonly (Rgb | undefined)[],
		private readonly everywhere: Rgb | undefined,
		private readonly width: number,
		private readonly squares: number,
	) {}
	/** Of the bare surface near a pixel. */
	bareAt(i: number): Rgb | undefined {
		const row = Math.floor(i / this.width);
		const square = Math.floor(row / TILE_PX) * this.squares + Math.floor((i - row * this.width) / TILE_PX);
		return this.bare[square] ?? this.everywhere;
	}
}

/**
 * Mean colours in one pass over some rows of the box. The surface's are taken square by square, without pixels that border a piece, as they are
 * part piece; undefined where too few pixels came in.
 */
export function meanColours(
	raster: Raster,
	light: Light,
	{ width, height, columnOffset, rowOffset, labels }: ClassMap,
	thin: Uint8Array,
	runs: Runs,
	{ across: lightsAcross, gain }: LightGains,
): MeanColours {
	const across = Math.ceil(width / TILE_PX);
	const metals = new Sums(CODES, raster.data, light, gain);
	const squares = new Sums(across * Math.ceil(height / TILE_PX), raster.data, light, gain);
	for (let row = 1; row < height - 1; row += ROWS_APART) {
		const line: Line = {
			base: row * width,
			width,
			shift: 3 * ((row + rowOffset) * raster.width + columnOffset - row * width),
			lights: lightsAcross * Math.floor(row / LIGHT_TILE_PX),
			squares: across * Math.floor(row / TILE_PX),
		};
		addRow(line, runs, runs.firstOfRow[row]!, runs.firstOfRow[row + 1]!, labels, thin, metals, squares);
	}
	return new MeanColours(metals.means(), squares.means(), squares.total(), width, across);
}

/** A row of the map. */
interface Line {
	readonly base: number;
	readonly width: number;
	/** What is added to three times a pixel's place for the place of its bytes on the photo. */
	readonly shift: number;
	/** First square of light, and of bare colour, of the row. */
	readonly lights: number;
	readonly squares: number;
}

/** Along a row the bare gaps and the runs between them, cut where the light's squares end. */
function addRow(
	{ base, width, shift, lights, squares: squaresOfRow }: Line,
	{ start, end, label }: Runs,
	firstRun: number,
	pastRun: number,
	labels: Uint8Array,
	thin: Uint8Array,
	metals: Sums,
	squares: Sums,
): void {
	let bareFrom = base + 1;
	for (let run = firstRun; run <= pastRun; run++) {
		const bareTo = run < pastRun ? start[run]! - 1 : base + width - 1;
		for (let from = bareFrom; from < bareTo; ) {
			const square = Math.floor((from - base) / LIGHT_TILE_PX);
			const to = Math.min(bareTo, base + (square + 1) * LIGHT_TILE_PX);
			const slot = squaresOfRow + Math.floor((from - base) / TILE_PX);
			squares.add(slot, lights + square, labels, from - width, from + width, to - from, 3 * from + shift);
			from = to;
		}
		if (run === pastRun) break;
		bareFrom = end[run]! + 1;
		if (IS_METAL[label[run]!] === 0) continue;
		for (let from = start[run]!; from < end[run]!; ) {
			const square = Math.floor((from - base) / LIGHT_TILE_PX);
			const to = Math.min(end[run]!, base + (square + 1) * LIGHT_TILE_PX);
			metals.add(label[run]!, lights + square, thin, from, from, to - from, 3 * from + shift);
			from = to;
		}
	}
}

/** Sums of light-corrected colours, one a slot. */
class Sums {
	private readonly count: Uint32Array;
	private readonly sum: Float64Array;
	// tables by themselves: code compiled for them outlives objects that are not alike from photo to photo
	private readonly reds: Float32Array;
	private readonly greens: Float32Array;
	private readonly blues: Float32Array;
	constructor(
		slots: number,
		private readonly data: Uint8Array,
		{ tables }: Light,
		private readonly gain: Float32Array,
	) {
		this.count = new Uint32Array(slots);
		this.sum = new Float64Array(3 * slots);
		[this.reds, this.greens, this.blues] = tables;
	}
	/** Add so many pixels of one square of light from byte `at` of the photo, without those at which `left` is not 0 from one place or another on. */
	add(slot: number, square: number, left: Uint8Array, one: number, other: number, pixels: number, at: number): void {
		const { reds, greens, blues, data, gain, sum } = this;
		let count = 0;
		let r = 0;
		let g = 0;
		let b = 0;
		// Hot loop.
		for (let i = 0; i < pixels; i++) {
			if ((left[one + i]! | left[other + i]!) !== 0) continue;
			const byte = at + 3 * i;
			r += reds[data[byte]!]!;
			g += greens[data[byte + 1]!]!;
			b += blues[data[byte + 2]!]!;
			count++;
		}
		if (count === 0) return;
		this.count[slot]! += count;
		sum[3 * slot]! += r * gain[3 * square]!;
		sum[3 * slot + 1]! += g * gain[3 * square + 1]!;
		sum[3 * slot + 2]! += b * gain[3 * square + 2]!;
	}
	/** Undefined where too few colours came in. */
	means(): (Rgb | undefined)[] {
		const means: (Rgb | undefined)[] = [];
		for (let k = 0; k < this.count.length; k++) means.push(meanOf(this.count[k]!, this.sum, 3 * k));
		return means;
	}
	total(): Rgb | undefined {
		const all = new Float64Array(3);
		let count = 0;
		for (let k = 0; k < this.sum.length; k++) all[k % 3]! += this.sum[k]!;
		for (let k = 0; k < this.count.length; k++) count += this.count[k]!;
		return meanOf(count, all, 0);
	}
}

/** The mean of so many colours whose sums begin at place `at`. */
function meanOf(count: number, sums: Float64Array, at: number): Rgb | undefined {
	return count < LEAST_PIXELS ? undefined : [sums[at]! / count, sums[at + 1]! / count, sums[at + 2]! / count];
}
