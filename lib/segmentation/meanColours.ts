import { CLASS_CODE, MATERIAL_CLASSES } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { ClassMap } from './classMap';
import { colourSums, type RowSums } from './colourSums';
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
	const slots = across * Math.ceil(height / TILE_PX);
	const sums = colourSums(CODES + slots, raster, light, gain);
	for (let row = 1; row < height - 1; row += ROWS_APART) {
		const line: Line = {
			base: row * width,
			width,
			lights: lightsAcross * Math.floor(row / LIGHT_TILE_PX),
			squares: CODES + across * Math.floor(row / TILE_PX),
		};
		sums.begin(labels, thin, line.base, width, 3 * ((row + rowOffset) * raster.width + columnOffset));
		addRow(line, runs, runs.firstOfRow[row]!, runs.firstOfRow[row + 1]!, sums);
		sums.end();
	}
	const { count, sum } = sums.all();
	return new MeanColours(
		meansOf(count, sum, 0, CODES),
		meansOf(count, sum, CODES, CODES + slots),
		totalOf(count, sum, CODES),
		width,
		across,
	);
}

/** A row of the map. */
interface Line {
	readonly base: number;
	readonly width: number;
	/** First square of light, and of bare colour, of the row. */
	readonly lights: number;
	readonly squares: number;
}

/** Along a row the bare gaps and the runs between them, cut where the light's squares end. */
function addRow(
	{ base, width, lights, squares: squaresOfRow }: Line,
	{ start, end, label }: Runs,
	firstRun: number,
	pastRun: number,
	sums: RowSums,
): void {
	let bareFrom = base + 1;
	for (let run = firstRun; run <= pastRun; run++) {
		const bareTo = run < pastRun ? start[run]! - 1 : base + width - 1;
		for (let from = bareFrom; from < bareTo; ) {
			const square = Math.floor((from - base) / LIGHT_TILE_PX);
			const to = Math.min(bareTo, base + (square + 1) * LIGHT_TILE_PX);
			sums.addBare(squaresOfRow + Math.floor((from - base) / TILE_PX), lights + square, from - base, to - from);
			from = to;
		}
		if (run === pastRun) break;
		bareFrom = end[run]! + 1;
		if (IS_METAL[label[run]!] === 0) continue;
		for (let from = start[run]!; from < end[run]!; ) {
			const square = Math.floor((from - base) / LIGHT_TILE_PX);
			const to = Math.min(end[run]!, base + (square + 1) * LIGHT_TILE_PX);
			sums.addMetal(label[run]!, lights + square, from - base, to - from);
			from = to;
		}
	}
}

/** Means of some slots; undefined where too few colours came in. */
function meansOf(count: Uint32Array, sum: Float64Array, from: number, to: number): (Rgb | undefined)[] {
	const means: (Rgb | undefined)[] = [];
	for (let k = from; k < to; k++) means.push(meanOf(count[k]!, sum, 3 * k));
	return means;
}

/** The mean of all slots from one on. */
function totalOf(count: Uint32Array, sum: Float64Array, from: number): Rgb | undefined {
	const all = new Float64Array(3);
	let pixels = 0;
	for (let k = 3 * from; k < sum.length; k++) all[k % 3]! += sum[k]!;
	for (let k = from; k < count.length; k++) pixels += count[k]!;
	return meanOf(pixels, all, 0);
}

/** The mean of so many colours whose sums begin at place `at`. */
function meanOf(count: number, sums: Float64Array, at: number): Rgb | undefined {
	return count < LEAST_PIXELS ? undefined : [sums[at]! / count, sums[at + 1]! / count, sums[at + 2]! / count];
}
