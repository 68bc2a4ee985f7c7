import { BACKGROUND, CLASS_CODE } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { ClassMap } from './classMap';
import { type Kernels, kernelsOf } from './kernelMemory';
import { runsOf } from './labelRuns';
import type { Light } from './light';
import { LIGHT_TILE_PX } from './reflectanceTiles';
import { Room } from './room';
import { FACTORS, freeRow, pullRow, REACH_PX, reachRow, SIDE_PX, standOut } from './strandCode';

interface StrandFunctions {
	reachRow(labels: number, thin: number, into: number, sixteens: number): void;
	freeRow(reaches: number, stride: number, labels: number, into: number, sixteens: number): void;
	pullRow(pixels: number, tables: number, factors: number, into: number, squares: number): void;
	standOut(pull: number, stride: number, least: number, free: number, into: number, sixteens: number): void;
}

const strandKernels = kernelsOf<StrandFunctions>([reachRow, freeRow, pullRow, standOut]);

/** What the photo's channels are multiplied by for the pull. */
export interface FactorsByRow {
	/** For a row that begins a square of light: writes four numbers a square, one a channel and what is taken off. */
	write(row: number, into: Float64Array): void;
}

/** What is looked at to find strands, pixel by pixel of a class map. What is given out stands until the next search begins. */
export interface StrandPlanes {
	/** Not 0 on bare pixels out of reach of all but thin copper. */
	readonly isFree: Uint8Array;
	/** How far each pixel lies from the surface near by (0) towards copper (1). */
	pulls(factors: FactorsByRow): Float32Array;
	/** 1 on free pixels whose pull is by `least` above that of bare surface on both sides, in any of four directions; undefined where there are none. */
	lines(pull: Float32Array, least: number): Uint8Array | undefined;
}

/** @param thin - class code where a thin part of a metal is, else 0 (lib/segmentation/thinParts.ts) */
export function strandPlanes(raster: Raster, light: Light, map: ClassMap, thin: Uint8Array): StrandPlanes {
	return planesByKernels(raster, light, map, thin) ?? planesSlowly(raster, light, map, thin);
}

function planesByKernels(raster: Raster, { tables }: Light, map: ClassMap, thin: Uint8Array): StrandPlanes | undefined {
	const { width, height, labels } = map;
	const sixteens = Math.ceil(width / 16);
	const stride = 16 * sixteens;
	const pixels = 16 * Math.ceil((width * height) / 16) + 32;
	const [candidates, pull] = [pixels, 2 * pixels];
	// reaches are over before pulls begin, and lie in their place
	const afterPull = pull + Math.max(4 * pixels, (height + 2 * REACH_PX) * stride);
	const factors = afterPull + 8 * 3 * 256;
	const row = factors + 8 * FACTORS * sixteens;
	const thinRow = row + 3 * stride + 32;
	const kernels = strandKernels(thinRow + stride + 32);
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	for (let c = 0; c < 3; c++) new Float64Array(bytes.buffer, afterPull + 8 * 256 * c, 256).set(tables[c]!);
	bytes.fill(0, pull, pull + REACH_PX * stride);
	bytes.fill(0, row, thinRow + stride + 32);
	for (let y = 0, from = 0; y < height; y++, from += width) {
		bytes.set(labels.subarray(from, from + width), row + REACH_PX);
		bytes.set(thin.subarray(from, from + width), thinRow + REACH_PX);
		kernels.reachRow(row, thinRow, pull + (y + REACH_PX) * stride, sixteens);
	}
	bytes.fill(0, pull + (height + REACH_PX) * stride, pull + (height + 2 * REACH_PX) * stride);
	for (let y = 0, from = 0; y < height; y++, from += width) {
		bytes.set(labels.subarray(from, from + width), row);
		// what is written past a row's end is written over by the next row
		kernels.freeRow(pull + y * stride, stride, row, from, sixteens);
	}
	return new KernelPlanes(raster, map, kernels, { candidates, pull, tables: afterPull, factors, row });
}

const room = new Room();

/** Where things stand in the kernels' memory; free pixels stand at its beginning. */
interface Places {
	readonly candidates: number;
	readonly pull: number;
	readonly tables: number;
	readonly factors: number;
	readonly row: number;
}

// classes, not functions made anew for each photo: those would be compiled anew as well
class KernelPlanes implements StrandPlanes {
	readonly isFree: Uint8Array;
	constructor(
		private readonly raster: Raster,
		private readonly map: ClassMap,
		private readonly kernels: Kernels<StrandFunctions>,
		private readonly at: Places,
	) {
		this.isFree = kernels.bytes.subarray(0, map.labels.length);
	}
	pulls(factors: FactorsByRow): Float32Array {
		const { raster, kernels, at } = this;
		const { width, height, columnOffset, rowOffset, labels } = this.map;
		const { bytes } = kernels;
		const squares = Math.ceil(width / LIGHT_TILE_PX);
		const ofSquares = new Float64Array(bytes.buffer, at.factors, FACTORS * squares);
		for (let y = 0; y < height; y++) {
			if (y % LIGHT_TILE_PX === 0) factors.write(y, ofSquares);
			const from = 3 * ((y + rowOffset) * raster.width + columnOffset);
			bytes.set(raster.data.subarray(from, from + 3 * width), at.row);
			kernels.pullRow(at.row, at.tables, at.factors, at.pull + 4 * y * width, squares);
		}
		return new Float32Array(bytes.buffer, at.pull, labels.length);
	}
	lines(pulls: Float32Array, least: number): Uint8Array | undefined {
		const { kernels, map } = this;
		const { width, height, labels } = map;
		const { pull, candidates } = this.at;
		const first = SIDE_PX * width;
		const looked = labels.length - 2 * first;
		if (looked <= 0) return undefined;
		// in short floats with some slack; those that stand out are looked at again
		const slack = least * (1 - 1e-4);
		kernels.standOut(pull + 4 * first, width, slack, first, candidates + first, Math.ceil(looked / 16));
		const lines = room.bytes(labels.length).fill(0);
		const standing = kernels.bytes.subarray(candidates, candidates + labels.length);
		const fours = new Uint32Array(kernels.bytes.buffer, candidates, Math.ceil(labels.length / 4));
		let found = 0;
		for (let y = SIDE_PX; y < height - SIDE_PX; y++) found += markLines(lines, standing, fours, y, pulls, least, map);
		return found === 0 ? undefined : lines;
	}
}

/** Marks those of the candidates of a row that stand out; returns how many. Candidates are also given by fours. */
function markLines(
	lines: Uint8Array,
	candidates: Uint8Array,
	fours: Uint32Array,
	row: number,
	pull: Float32Array,
	least: number,
	map: ClassMap,
): number {
	let found = 0;
	// Hot loop: few stand out, so four that don't are passed over at once.
	for (let i = row * map.width, end = i + map.width; i < end; i++) {
		if ((i & 3) === 0 && fours[i >> 2] === 0) {
			i += 3;
			continue;
		}
		if (candidates[i] === 0 || !standsOut(i, pull, least, map)) continue;
		lines[i] = 1;
		found++;
	}
	return found;
}

/** Whether the pull at a pixel is by `least` above that of bare surface on both sides, in any of four directions. */
function standsOut(i: number, pull: Float32Array, least: number, { width, labels }: ClassMap): boolean {
	const column = i % width;
	if (column < SIDE_PX || column >= width - SIDE_PX) return false;
	const under = pull[i]! - least;
	for (let direction = 0; direction < 4; direction++) {
		const step = SIDE_PX * (direction === 0 ? 1 : width + direction - 2);
		if (pull[i + step]! >= under || pull[i - step]! >= under) continue;
		if (labels[i + step] === BACKGROUND && labels[i - step] === BACKGROUND) return true;
	}
	return false;
}

/** The same pixel by pixel, where WebAssembly has no SIMD. */
export function planesSlowly(raster: Raster, light: Light, map: ClassMap, thin: Uint8Array): StrandPlanes {
	return new SlowPlanes(raster, light, map, freeSlowly(map, thin));
}

class SlowPlanes implements StrandPlanes {
	constructor(
		private readonly raster: Raster,
		private readonly light: Light,
		private readonly map: ClassMap,
		readonly isFree: Uint8Array,
	) {}
	pulls(factorsByRow: FactorsByRow): Float32Array {
		const { width, height, columnOffset, rowOffset, labels } = this.map;
		const [reds, greens, blues] = this.light.tables;
		const { data, width: widthPx } = this.raster;
		const pull = new Float32Array(labels.length);
		const factors = new Float64Array(FACTORS * Math.ceil(width / LIGHT_TILE_PX));
		for (let row = 0; row < height; row++) {
			if (row % LIGHT_TILE_PX === 0) factorsByRow.write(row, factors);
			for (let column = 0; column < width; column++) {
				const k = FACTORS * Math.floor(column / LIGHT_TILE_PX);
				const at = 3 * ((row + rowOffset) * widthPx + columnOffset + column);
				const [r, g, b] = [reds[data[at]!]!, greens[data[at + 1]!]!, blues[data[at + 2]!]!];
				pull[row * width + column] = r * factors[k]! + g * factors[k + 1]! + b * factors[k + 2]! - factors[k + 3]!;
			}
		}
		return pull;
	}
	lines(pull: Float32Array, least: number): Uint8Array | undefined {
		const { width, height, labels } = this.map;
		const lines = new Uint8Array(labels.length);
		for (let i = SIDE_PX * width; i < (height - SIDE_PX) * width; i++)
			if (this.isFree[i] !== 0 && standsOut(i, pull, least, this.map)) lines[i] = 1;
		return lines.includes(1) ? lines : undefined;
	}
}

function freeSlowly({ width, height, labels }: ClassMap, thin: Uint8Array): Uint8Array {
	const runs = runsOf(labels, width, height);
	const isFree = new Uint8Array(labels.length).fill(1);
	for (let row = 0; row < height; row++) {
		const [up, down] = [Math.min(REACH_PX, row), Math.min(REACH_PX, height - 1 - row)];
		for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
			isFree.fill(0, runs.start[run]!, runs.end[run]!);
			// stretches of the run that are not thin copper reach over the rows and columns around them
			for (let from = runs.start[run]!; from < runs.end[run]!; ) {
				let to = from;
				while (to < runs.end[run]! && thin[to] !== CLASS_CODE.brightCopper) to++;
				if (to > from) {
					const left = Math.min(REACH_PX, from - row * width);
					const right = Math.min(REACH_PX, (row + 1) * width - to);
					for (let dy = -up; dy <= down; dy++) isFree.fill(0, from + dy * width - left, to + dy * width + right);
				}
				from = to + 1;
			}
		}
	}
	return isFree;
}
