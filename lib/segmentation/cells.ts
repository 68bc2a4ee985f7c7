import { cielabOf } from '../colour/cielab';
import type { Raster } from '../photo/raster';
import { decodeSrgb } from '../photo/srgbCurve';
import type { Surface } from '../photo/surface';
import { PIECE } from './cellCode';
import { eachStrip, type Pieces, piecesOf, stripMemory } from './cellPieces';
import type { FieldBox } from './fieldBox';
import type { Light } from './light';
import { pixelKernels } from './pixelKernels';
import { Room } from './room';
import { STEPS, type StepTable, stepTable, TILE_PX } from './stepTable';

/** Cells of the colour cube: red x 64 x 64 + green x 64 + blue. */
export const CELLS = STEPS ** 3;
/** Cell of a pixel outside the field. */
export const OUTSIDE = -1;
/** Cell of a pixel whose brightest channel is clipped: its colour is lost. */
export const CLIPPED = -2;

/** A code from here on may be clipped. */
export const CLIPPED_CODE = 252;

/** Light-corrected colours of the pixels in the field, as cells of a colour cube. */
export interface Cells {
	/** Clipped pixels in the field. */
	readonly clipped: number;
	/** Cell of each pixel of the box, or OUTSIDE or CLIPPED; height x width. */
	readonly cell: Int32Array;
	/** Pixels in each cell. */
	readonly count: Uint32Array;
	/** The cells that hold pixels, ascending, and their colours: L, a, b of each. */
	readonly used: Int32Array;
	readonly cielab: Float64Array;
}

/** How often each cell comes, and the colours of those that come. */
export type CellCounts = Omit<Cells, 'cell'>;

/**
 * Sort the field's pixels into cells of light-corrected colour: one pass, table look-ups only.
 *
 * The corrected colour is gain times straightened linear light over the light at that place, sRGB-encoded, so that cells
 * are about evenly spaced to the eye; reflectances above 1 (shine) go to the last step.
 */
export function cellsOf(raster: Raster, surface: Surface, light: Light, box: FieldBox): Cells {
	const cell = new Int32Array(box.width * box.height).fill(OUTSIDE);
	const count = new Uint32Array(CELLS);
	const table = stepTable(surface, light, box);
	const clipped = countPieces(raster.data, piecesOf(raster, box, table).pieces, table.steps, count, cell);
	const { used, cielab } = coloursOf(count);
	return { cell, count, clipped, used, cielab };
}

/** The same without keeping each pixel's cell; `labelsOfCells` finds them again. */
export function countCells(
	raster: Raster,
	box: FieldBox,
	table: StepTable,
	pieces = piecesOf(raster, box, table),
): CellCounts {
	const { count, clipped } = countByKernel(raster, box, table, pieces) ?? countSlowly(raster, pieces, table);
	const { used, cielab } = coloursOf(count);
	return { count, clipped, used, cielab };
}

function countSlowly(raster: Raster, { pieces }: Pieces, { steps }: StepTable): Pick<Cells, 'count' | 'clipped'> {
	const count = new Uint32Array(CELLS);
	return { count, clipped: countPieces(raster.data, pieces, steps, count) };
}

function countByKernel(
	raster: Raster,
	box: FieldBox,
	table: StepTable,
	pieces: Pieces,
): Pick<Cells, 'count' | 'clipped'> | undefined {
	const counts = stripMemory(raster, table) + 16;
	const bytes = 4 * (CELLS + 1);
	const kernels = pixelKernels(counts + bytes);
	if (kernels === undefined) return undefined;
	kernels.bytes.fill(0, counts, counts + bytes);
	eachStrip(kernels.bytes, raster, box, table, pieces, (at, count, photo, steps) =>
		kernels.countPieces(at, count, photo, steps, CELLS, CLIPPED_CODE, counts),
	);
	const count = new Uint32Array(kernels.bytes.slice(counts, counts + bytes).buffer);
	return { count: count.subarray(0, CELLS), clipped: count[CELLS]! };
}

/** What `code` says of each pixel's cell, `ofClipped` where the colour is lost, 0 outside the field; height x width; good until they are asked for again. */
export function labelsOfCells(
	raster: Raster,
	box: FieldBox,
	table: StepTable,
	code: Uint8Array,
	ofClipped: number,
	pieces = piecesOf(raster, box, table),
): Uint8Array {
	return (
		labelByKernel(raster, box, table, pieces, code, ofClipped) ??
		labelSlowly(raster, box, table, pieces, code, ofClipped)
	);
}

const room = new Room();

function labelByKernel(
	raster: Raster,
	box: FieldBox,
	table: StepTable,
	pieces: Pieces,
	code: Uint8Array,
	ofClipped: number,
): Uint8Array | undefined {
	const codes = stripMemory(raster, table);
	const into = codes + CELLS + 16;
	const size = TILE_PX * box.width;
	const kernels = pixelKernels(into + size);
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	bytes.set(code, codes);
	bytes[codes + CELLS] = ofClipped;
	const labels = room.bytes(box.width * box.height).fill(0);
	eachStrip(bytes, raster, box, table, pieces, (at, count, photo, steps, row) => {
		const first = row * box.width;
		const past = Math.min(first + size, labels.length);
		bytes.fill(0, into, into + size);
		kernels.labelPieces(at, count, photo, steps, CELLS, CLIPPED_CODE, codes, into - first);
		labels.set(bytes.subarray(into, into + past - first), first);
	});
	return labels;
}

/** The same pixel by pixel, where there is no WebAssembly with SIMD. */
function labelSlowly(
	{ data }: Raster,
	box: FieldBox,
	{ steps }: StepTable,
	{ pieces }: Pieces,
	code: Uint8Array,
	ofClipped: number,
): Uint8Array {
	const labels = new Uint8Array(box.width * box.height);
	// Hot loop.
	for (let piece = 0; piece < pieces.length; piece += PIECE) {
		let at = pieces[piece]!;
		const red = pieces[piece + 3]!;
		const green = pieces[piece + 4]!;
		const blue = pieces[piece + 5]!;
		for (let i = pieces[piece + 1]!, to = pieces[piece + 2]!; i < to; i++, at += 3) {
			const r = data[at]!;
			const g = data[at + 1]!;
			const b = data[at + 2]!;
			labels[i] =
				(r & g & b) >= CLIPPED_CODE
					? ofClipped
					: code[(steps[red + r]! << 12) | (steps[green + g]! << 6) | steps[blue + b]!]!;
		}
	}
	return labels;
}

/** Count cells and, where asked, keep each pixel's; returns the clipped pixels. */
function countPieces(
	data: Uint8Array,
	pieces: Int32Array,
	steps: Uint8Array,
	count: Uint32Array,
	cell?: Int32Array,
): number {
	let clipped = 0;
	// Hot loop.
	for (let piece = 0; piece < pieces.length; piece += PIECE) {
		let at = pieces[piece]!;
		const red = pieces[piece + 3]!;
		const green = pieces[piece + 4]!;
		const blue = pieces[piece + 5]!;
		for (let i = pieces[piece + 1]!, to = pieces[piece + 2]!; i < to; i++, at += 3) {
			const r = data[at]!;
			const g = data[at + 1]!;
			const b = data[at + 2]!;
			let k = CLIPPED;
			if ((r & g & b) >= CLIPPED_CODE) clipped++;
			else {
				k = (steps[red + r]! << 12) | (steps[green + g]! << 6) | steps[blue + b]!;
				count[k]!++;
			}
			if (cell !== undefined) cell[i] = k;
		}
	}
	return clipped;
}

/** L, a, b of the cells that came up so far: a cell's colour is the same on every photo. */
const CIELAB = new Float64Array(3 * CELLS);
const isKnown = new Uint8Array(CELLS);

function coloursOf(count: Uint32Array): Pick<Cells, 'used' | 'cielab'> {
	const used = usedCells(count);
	const cielab = new Float64Array(3 * used.length);
	for (let k = 0; k < used.length; k++) {
		const cell = used[k]!;
		if (isKnown[cell] === 0) {
			const { L, a, b } = cielabOf(...reflectanceOfCell(cell));
			CIELAB[3 * cell] = L;
			CIELAB[3 * cell + 1] = a;
			CIELAB[3 * cell + 2] = b;
			isKnown[cell] = 1;
		}
		for (let c = 0; c < 3; c++) cielab[3 * k + c] = CIELAB[3 * cell + c]!;
	}
	return { used, cielab };
}

/** Room for all cells, which stays. */
const roomForUsed = new Int32Array(CELLS);

function usedCells(count: Uint32Array): Int32Array {
	let many = 0;
	for (let k = 0; k < CELLS; k++) if (count[k] !== 0) roomForUsed[many++] = k;
	return roomForUsed.slice(0, many);
}

/** Corrected linear reflectance at the middle of a cell. */
function reflectanceOfCell(cell: number): [number, number, number] {
	const step = (k: number) => DECODED[k & (STEPS - 1)]!;
	return [step(cell >> 12), step(cell >> 6), step(cell)];
}

const DECODED = Float64Array.from({ length: STEPS }, (_, k) => decodeSrgb((k + 0.5) / STEPS));
