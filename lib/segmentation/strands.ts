import { CLASS_CODE } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { selectWithin } from '../quantity/estimateOf';
import { type ClassMap, relabelled } from './classMap';
import { joinRuns, type Runs, runsOf, runsOfMap } from './labelRuns';
import type { Light } from './light';
import { IS_METAL, type MeanColours, meanColours } from './meanColours';
import { LIGHT_TILE_PX, type LightGains, lightGains, ReflectanceReader } from './reflectanceTiles';
import { FACTORS, SIDE_PX } from './strandCode';
import { type FactorsByRow, strandPlanes } from './strandPlanes';
import { thinParts } from './thinParts';
import { across, along, differenceScatter, dot, type Rgb, type Symmetric3 } from './unmixing';

/** A pixel's pull towards copper is looked at from this many times the grain of bare surface: single ones of that are common, */
const SURE = 3;
/** but whole strands of this many pixels are not. */
const LEAST_PIXELS = 12;
/** Pull below which nothing is looked at, whatever the grain: where cover ends and interpolation, sharpening and mirrored light begin. Our choice. */
const LEAST_PULL = 0.15;
/** Grain that needs more pull than this drowns strands a pixel wide; nothing is sought then. */
const MOST_PULL = 0.5;
/** Part of a strand's pull that must be colour: copper pulls wholly, tinned wire and shadows not at all. Half way between. */
const LEAST_COLOUR = 0.5;

/**
 * Adds copper strands too thin to win any pixel of their own: lines of bare pixels that copper pulls at.
 *
 * The pull is how far a pixel lies from the bare surface beside it towards copper's colour on the photo, along the direction that
 * the surface's own grain hides least (a matched filter). It must be more than what lies on either side of it, along a row, a column
 * or a diagonal; such pixels that hang together, too thin to hold a square, are a strand where the pull is one of colour as
 * well, since shadows and tinned wire only darken. How much the strand covers is for lib/segmentation/cover.ts to say.
 * Limit: strands within three pixels of thick pieces are left as they are; copper that has the surface's colour stays unseen.
 */
export function addStrands(raster: Raster, surface: Surface, light: Light, map: ClassMap): ClassMap {
	const { width, height, labels } = map;
	const copper = CLASS_CODE.brightCopper;
	const thin = thinParts(labels, width, height, IS_METAL);
	const gains = lightGains(surface, light, map);
	const colours = meanColours(raster, light, map, thin, runsOfMap(map), gains);
	const pure = colours.metal[copper];
	if (pure === undefined) return map;
	const planes = strandPlanes(raster, light, map, thin);
	const { isFree } = planes;
	const scatter = differenceScatter(eachPair(raster, light, map, isFree));
	if (scatter === undefined) return map;
	const pull = planes.pulls(new PullFactors(map, gains, colours, pure, scatter));
	const least = Math.max(LEAST_PULL, SURE * grainOf(pull, isFree));
	if (least > MOST_PULL) return map;
	const lines = planes.lines(pull, least);
	if (lines === undefined) return map;
	const parts = runsOf(thinParts(lines, width, height), width, height);
	const strands = new StrandSums(parts, new ReflectanceReader(raster, light, map, gains), colours, pure, pull);
	const out = labels.slice();
	for (let row = 0; row < height; row++) strands.addRow(row);
	for (let row = 0; row < height; row++) strands.callRow(row, out, copper);
	return relabelled(map, out);
}

/**
 * Sums pulls, and how far pixels lie towards copper by colour alone, over the runs of strands. By rows, in methods: a loop over all runs
 * would be compiled anew for each photo.
 */
class StrandSums {
	private bare: Rgb | undefined;
	private tint: Rgb | undefined;
	private readonly region: Int32Array;
	/** By strand: pixels, and both sums. */
	private readonly pixels: Uint32Array;
	private readonly pulls: Float64Array;
	private readonly tints: Float64Array;
	private readonly rgb = new Float64Array(3);
	constructor(
		private readonly parts: Runs,
		private readonly reader: ReflectanceReader,
		private readonly colours: MeanColours,
		private readonly pure: Rgb,
		private readonly pull: Float32Array,
	) {
		const { count, region } = joinRuns(parts);
		this.region = region;
		this.pixels = new Uint32Array(count + 1);
		this.pulls = new Float64Array(count + 1);
		this.tints = new Float64Array(count + 1);
		for (let row = 0; row < parts.height; row++) this.countRow(row);
	}
	private countRow(row: number): void {
		const { start, end, firstOfRow } = this.parts;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++)
			this.pixels[this.region[run]!]! += end[run]! - start[run]!;
	}
	/** Add the runs of one row. */
	addRow(row: number): void {
		const { start, end, firstOfRow } = this.parts;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const k = this.region[run]!;
			if (this.pixels[k]! >= LEAST_PIXELS) this.add(start[run]!, end[run]!, k);
		}
	}
	private add(from: number, to: number, k: number): void {
		for (let i = from; i < to; i++) {
			this.pulls[k]! += this.pull[i]!;
			const bare = this.colours.bareAt(i);
			if (bare !== this.bare) this.tint = bare && across(bare, this.pure);
			this.bare = bare;
			if (this.tint === undefined) continue;
			this.reader.read(i, this.rgb);
			this.tints[k]! += this.tint[0] * this.rgb[0]! + this.tint[1] * this.rgb[1]! + this.tint[2] * this.rgb[2]!;
		}
	}
	/** Label the runs of one row that belong to strands, once all rows are added. */
	callRow(row: number, labels: Uint8Array, code: number): void {
		const { start, end, firstOfRow } = this.parts;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const k = this.region[run]!;
			if (this.pixels[k]! >= LEAST_PIXELS && this.tints[k]! > LEAST_COLOUR * this.pulls[k]!)
				labels.fill(code, start[run]!, end[run]!);
		}
	}
}

/** Every how many rows and columns the grain is looked at. */
const GRAIN_ROWS = 3;
const GRAIN_COLUMNS = 7;
/** How many differences are taken in one go. */
const GRAIN_STRETCH = 256;

let room = new Float64Array();

/** Room for so many numbers, which stays from photo to photo: what stood there is written over. */
function roomFor(numbers: number): Float64Array {
	if (room.length < numbers) room = new Float64Array(numbers);
	return room;
}

/** Differences of corrected colour between free pixels of a row that lie as far apart as a strand and its side. */
function eachPair(
	raster: Raster,
	light: Light,
	{ width, height, columnOffset, rowOffset }: ClassMap,
	isFree: Uint8Array,
): Float64Array {
	const [reds, greens, blues] = light.tables;
	const differences = roomFor(3 * Math.ceil(height / GRAIN_ROWS) * Math.ceil(width / GRAIN_COLUMNS));
	let count = 0;
	for (let row = 0; row < height; row += GRAIN_ROWS) {
		const from = 3 * ((row + rowOffset) * raster.width + columnOffset);
		const pixels = raster.data.subarray(from, from + 3 * width);
		count = pairsOfRow(
			reds,
			greens,
			blues,
			pixels,
			isFree.subarray(row * width, (row + 1) * width),
			row,
			differences,
			count,
		);
	}
	return differences.subarray(0, count);
}

/** Writes the differences of one row from entry `first` on; returns where the next are to go. */
function pairsOfRow(
	reds: Float32Array,
	greens: Float32Array,
	blues: Float32Array,
	pixels: Uint8Array,
	free: Uint8Array,
	row: number,
	differences: Float64Array,
	first: number,
): number {
	let next = first;
	// Hot loop.
	for (let x = row % GRAIN_COLUMNS; x + SIDE_PX < free.length; x += GRAIN_COLUMNS) {
		if (free[x] === 0 || free[x + SIDE_PX] === 0) continue;
		const at = 3 * x;
		const side = at + 3 * SIDE_PX;
		differences[next++] = reds[pixels[at]!]! - reds[pixels[side]!]!;
		differences[next++] = greens[pixels[at + 1]!]! - greens[pixels[side + 1]!]!;
		differences[next++] = blues[pixels[at + 2]!]! - blues[pixels[side + 2]!]!;
	}
	return next;
}

/** What colours are multiplied by for their pull, square by square of light (lib/segmentation/strandPlanes.ts). */
class PullFactors implements FactorsByRow {
	constructor(
		private readonly map: ClassMap,
		private readonly gains: LightGains,
		private readonly colours: MeanColours,
		private readonly pure: Rgb,
		private readonly scatter: Symmetric3,
	) {}
	write(row: number, into: Float64Array): void {
		const { across: squares, gain } = this.gains;
		let last: Rgb | undefined;
		let step: Rgb | undefined;
		for (let square = 0; square < squares; square++) {
			const bare = this.colours.bareAt(row * this.map.width + square * LIGHT_TILE_PX);
			// neighbours mostly share it
			if (bare !== last) step = bare && along(bare, this.pure, this.scatter);
			last = bare;
			const tile = 3 * (Math.floor(row / LIGHT_TILE_PX) * squares + square);
			for (let c = 0; c < 3; c++) into[FACTORS * square + c] = step ? step[c as 0 | 1 | 2] * gain[tile + c]! : 0;
			into[FACTORS * square + 3] = step && bare ? dot(step, bare) : 0;
		}
	}
}

/** Half of all differences of two alike normal deviates lie within this many of their standard deviations: 0.6745 x square root of 2. */
const HALF_WITHIN = 0.954;

/** Standard deviation of the pull over bare surface, by the middle of its differences, to which strands and shadows hardly count. */
function grainOf(pull: Float32Array, isFree: Uint8Array): number {
	const differences = roomFor(Math.ceil(pull.length / GRAIN_COLUMNS));
	let count = 0;
	const stretch = GRAIN_STRETCH * GRAIN_COLUMNS;
	for (let from = 0; from < pull.length - SIDE_PX; from += stretch) {
		const to = Math.min(pull.length - SIDE_PX, from + stretch);
		count = addDifferences(pull, isFree, from, to, differences, count);
	}
	return count === 0 ? Number.POSITIVE_INFINITY : selectWithin(differences, count, count >> 1) / HALF_WITHIN;
}

/** Writes how much free pixels and those `SIDE_PX` on differ, from entry `first` on; returns where the next are to go. */
function addDifferences(
	pull: Float32Array,
	isFree: Uint8Array,
	from: number,
	to: number,
	differences: Float64Array,
	first: number,
): number {
	let next = first;
	// Hot loop.
	for (let i = from; i < to; i += GRAIN_COLUMNS)
		if (isFree[i] !== 0 && isFree[i + SIDE_PX] !== 0) differences[next++] = Math.abs(pull[i]! - pull[i + SIDE_PX]!);
	return next;
}
