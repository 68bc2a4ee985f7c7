import { CLASS_CODE } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { JUDGED_PIECE } from './cellCode';
import { eachStrip, type Pieces, stripMemory } from './cellPieces';
import { CELLS, CLIPPED_CODE } from './cells';
import { type ClassMap, relabelled } from './classMap';
import { type Gloss, glossOf, glossVotes, LEAST_PIXELS } from './gloss';
import { judgedPieces } from './judgedPieces';
import { joinRuns, type Runs, runsOf, runsWhere } from './labelRuns';
import type { Light } from './light';
import { pixelKernels } from './pixelKernels';
import { lightGains, ReflectanceReader } from './reflectanceTiles';
import { Room } from './room';
import { type StepTable, TILE_PX } from './stepTable';

/** Pixels of a piece that are looked at, spread over it: enough for the few per cent that are its lightest. */
const MOST_PIXELS = 400;
/** A code that no channel reaches. */
const NEVER_CLIPPED = 256;

const room = new Room();

/** The pieces of copper's colour on a photo. */
export interface CopperPieces {
	/** Runs of pixels called copper, and the piece of each, from 1. */
	readonly runs: Runs;
	readonly region: Int32Array;
	/** How each piece shines and its pixels, by piece less one. */
	readonly gloss: readonly (Gloss | undefined)[];
	readonly pixels: Uint32Array;
}

/** How the pieces that are called copper shine, looked at inside their rims, where no neighbour's light mixes in. */
export function copperPieces(raster: Raster, surface: Surface, light: Light, map: ClassMap): CopperPieces {
	const { width, height, labels } = map;
	const runs = runsWhere(runsOf(labels, width, height), isCopper);
	const { count, region } = joinRuns(runs);
	const pixels = new Uint32Array(count);
	addPixels(runs, region, pixels);
	const isLookedAt = insideByKernel(labels, width) ?? insideSlowly(labels, width);
	const ofRun = new Uint32Array(runs.count);
	for (let row = 2; row < height - 2; row++) markRow(raster, map, runs, row, isLookedAt, ofRun);
	const inner = new Uint32Array(count);
	for (let run = 0; run < runs.count; run++) inner[region[run]! - 1]! += ofRun[run]!;
	const reader = new ReflectanceReader(raster, light, map, lightGains(surface, light, map));
	const takers: (Taker | undefined)[] = [];
	for (let piece = 0; piece < count; piece++)
		takers.push(inner[piece]! < LEAST_PIXELS ? undefined : new Taker(inner[piece]!, isLookedAt, reader));
	for (let row = 2; row < height - 2; row++) takeRow(takers, runs, region, row, ofRun);
	const gloss: (Gloss | undefined)[] = [];
	for (let piece = 0; piece < count; piece++) gloss.push(takers[piece]?.gloss());
	return { runs, region, gloss, pixels };
}

function isCopper(label: number): boolean {
	return label === CLASS_CODE.brightCopper;
}

/** Adds the runs' pixels up by piece less one. */
function addPixels({ count, start, end }: Runs, region: Int32Array, pixels: Uint32Array): void {
	for (let run = 0; run < count; run++) pixels[region[run]! - 1]! += end[run]! - start[run]!;
}

/** Lets the pieces take what they look at of one row. */
function takeRow(
	takers: readonly (Taker | undefined)[],
	{ start, end, firstOfRow }: Runs,
	region: Int32Array,
	row: number,
	ofRun: Uint32Array,
): void {
	for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++)
		if (ofRun[run] !== 0) takers[region[run]! - 1]?.take(start[run]! + 2, end[run]! - 2, ofRun[run]!);
}

/** Takes the marks of a row's clipped pixels back, and counts those left by run. */
function markRow(
	raster: Raster,
	{ width, columnOffset, rowOffset }: ClassMap,
	runs: Runs,
	row: number,
	marks: Uint8Array,
	ofRun: Uint32Array,
): void {
	const shift = (row + rowOffset) * raster.width + columnOffset - row * width;
	for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
		const from = runs.start[run]! + 2;
		ofRun[run] = leaveClippedOut(marks, raster.data, 3 * (from + shift), from, runs.end[run]! - 2);
	}
}

/** Takes the colours of some of a piece's pixels, evenly spread over those looked at in reading order. */
class Taker {
	private taken = 0;
	private passed = 0;
	private next: number;
	private readonly rgb: Float32Array;
	/** @param pixels - how many of the piece's are looked at */
	constructor(
		private readonly pixels: number,
		private readonly isLookedAt: Uint8Array,
		private readonly reader: ReflectanceReader,
	) {
		this.rgb = new Float32Array(3 * Math.min(MOST_PIXELS, pixels));
		this.next = this.placeOf(0);
	}
	/** Look at the pixels from one to another (not included), of which so many are looked at. */
	take(from: number, to: number, marked: number): void {
		const { isLookedAt } = this;
		let { passed, next } = this;
		if (next >= passed + marked) {
			this.passed = passed + marked;
			return;
		}
		for (let i = from; i < to; i++) {
			if (isLookedAt[i] === 0) continue;
			if (passed++ !== next) continue;
			this.reader.read(i, this.rgb, 3 * this.taken++);
			next = this.placeOf(this.taken);
		}
		this.passed = passed;
		this.next = next;
	}
	gloss(): Gloss | undefined {
		return glossOf(this.rgb);
	}
	private placeOf(k: number): number {
		return Math.floor(((k + 0.5) * this.pixels) / (this.rgb.length / 3));
	}
}

/**
 * 1 where neighbours two steps away or less are copper (sides and corners of a diamond), but for those along the row, which runs tell. What it
 * says of the two rows at either end means nothing.
 */
export function insideByKernel(labels: Uint8Array, width: number): Uint8Array | undefined {
	const from = 2 * width + 16;
	const into = 16 * Math.ceil((2 * from + labels.length) / 16);
	const kernels = pixelKernels(into + labels.length + 16);
	if (kernels === undefined) return undefined;
	kernels.bytes.set(labels, from);
	kernels.insideOf(from, width, into, CLASS_CODE.brightCopper, Math.ceil(labels.length / 16));
	const marks = room.bytes(labels.length);
	marks.set(kernels.bytes.subarray(into, into + labels.length));
	return marks;
}

/** The same pixel by pixel. */
export function insideSlowly(labels: Uint8Array, width: number): Uint8Array {
	const marks = new Uint8Array(labels.length);
	const twice = 2 * width;
	for (let i = twice; i < labels.length - twice; i++) {
		if (!isCopper(labels[i - twice]!) || !isCopper(labels[i + twice]!)) continue;
		if (!areCopper(labels, i - width) || !areCopper(labels, i + width)) continue;
		marks[i] = 1;
	}
	return marks;
}

function areCopper(labels: Uint8Array, i: number): boolean {
	return isCopper(labels[i - 1]!) && isCopper(labels[i]!) && isCopper(labels[i + 1]!);
}

/**
 * Takes the marks of clipped pixels back.
 *
 * @param at - place of the first one's bytes on the photo
 * @returns how many marks are left
 */
function leaveClippedOut(marks: Uint8Array, data: Uint8Array, at: number, from: number, to: number): number {
	let found = 0;
	// Hot loop.
	for (let i = from, byte = at; i < to; i++, byte += 3) {
		if (marks[i] === 0) continue;
		if (Math.max(data[byte]!, data[byte + 1]!, data[byte + 2]!) >= CLIPPED_CODE) marks[i] = 0;
		else found++;
	}
	return found;
}

/**
 * The labels with pixels called copper that are likelier insulation, by their colour and by how the photo's pieces of that colour
 * shine, called so. Only copper is put to the vote: greys have no colour that a highlight could keep, and what is called insulation
 * is no better known by its shine than by its colour.
 *
 * @param copperOverInsulation - log-odds by colour (lib/segmentation/lookupTable.ts)
 */
export function weighGloss(
	raster: Raster,
	surface: Surface,
	light: Light,
	map: ClassMap,
	steps: StepTable,
	copperOverInsulation: Int8Array,
): ClassMap {
	const { runs, region, gloss, pixels } = copperPieces(raster, surface, light, map);
	const votes = glossVotes(gloss, pixels);
	if (votes === undefined) return map;
	const pieces = judgedPieces(raster, map, runs, region, votes.ofPiece, steps);
	return relabelled(
		map,
		outvotedByKernel(raster, map, steps, pieces, copperOverInsulation) ??
			outvotedSlowly(raster, map, steps, pieces, copperOverInsulation),
	);
}

/** Pixels of pieces called insulation where the log-odds of their colour are below the piece's; undefined without SIMD. */
export function outvotedByKernel(
	raster: Raster,
	map: ClassMap,
	steps: StepTable,
	pieces: Pieces,
	copperOverInsulation: Int8Array,
): Uint8Array | undefined {
	const logs = stripMemory(raster, steps, JUDGED_PIECE);
	const strip = logs + CELLS + 16;
	const size = TILE_PX * map.width;
	const kernels = pixelKernels(strip + size);
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	const labels = map.labels.slice();
	bytes.set(new Uint8Array(copperOverInsulation.buffer, copperOverInsulation.byteOffset, CELLS), logs);
	const work = (at: number, count: number, photo: number, tables: number, row: number) => {
		const first = row * map.width;
		const past = Math.min(first + size, labels.length);
		bytes.set(labels.subarray(first, past), strip);
		// a clipped pixel inside a piece is judged by what is left of its colour
		kernels.outvotePieces(at, count, photo, tables, 0, NEVER_CLIPPED, logs, strip - first, CLASS_CODE.insulation);
		labels.set(bytes.subarray(strip, strip + past - first), first);
	};
	eachStrip(bytes, raster, map, steps, pieces, work, JUDGED_PIECE);
	return labels;
}

/** The same pixel by pixel. */
export function outvotedSlowly(
	{ data }: Raster,
	map: ClassMap,
	{ steps }: StepTable,
	{ pieces }: Pieces,
	copperOverInsulation: Int8Array,
): Uint8Array {
	const labels = map.labels.slice();
	for (let piece = 0; piece < pieces.length; piece += JUDGED_PIECE) {
		const [byte, from, to, reds, greens, blues, least] = pieces.subarray(piece, piece + JUDGED_PIECE) as unknown as [
			number,
			number,
			number,
			number,
			number,
			number,
			number,
		];
		for (let i = from, at = byte; i < to; i++, at += 3) {
			const cell =
				(steps[reds + data[at]!]! << 12) | (steps[greens + data[at + 1]!]! << 6) | steps[blues + data[at + 2]!]!;
			if (copperOverInsulation[cell]! < least) labels[i] = CLASS_CODE.insulation;
		}
	}
	return labels;
}
