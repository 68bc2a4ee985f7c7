import type { Raster } from '../photo/raster';
import { PIECE } from './cellCode';
import type { FieldBox } from './fieldBox';
import { Room } from './room';
import { type StepTable, TILE_PX } from './stepTable';

const room = new Room();

/** The field's pixels row by row, in pieces that share one light: `PIECE` numbers each (cellCode.ts), or one more. */
export interface Pieces {
	readonly pieces: Int32Array;
	/** Where each row's begin; one more entry than rows. */
	readonly firstOfRow: Int32Array;
}

/** All of the field's pixels; good until they are asked for again. */
export function piecesOf(raster: Raster, box: FieldBox, { across, starts }: StepTable): Pieces {
	const { width, height, columnOffset, rowOffset, inside } = box;
	const pieces = room.words(PIECE * height * (across + 1));
	const firstOfRow = new Int32Array(height + 1);
	let count = 0;
	for (let row = 0; row < height; row++) {
		firstOfRow[row] = count;
		const base = row * width;
		// the field is convex: a row's pixels inside follow one another
		const first = inside.subarray(base, base + width).indexOf(1);
		if (first < 0) continue;
		const last = inside.lastIndexOf(1, base + width - 1) - base;
		const shift = (row + rowOffset) * raster.width + columnOffset - base;
		const tiles = Math.floor(row / TILE_PX) * across;
		count = addPieces(pieces, count, PIECE, base + first, base + last + 1, base, shift, starts, tiles);
	}
	firstOfRow[height] = count;
	return { pieces: pieces.subarray(0, count), firstOfRow };
}

/**
 * Write the pieces of one stretch of a row from entry `at` on, `numbers` entries each; returns where the next are to go.
 *
 * @param base - the row's first pixel
 * @param shift - what leads from a pixel's place to that on the photo
 * @param starts - where each square's tables start
 * @param tiles - the row's first square
 */
export function addPieces(
	pieces: Int32Array,
	at: number,
	numbers: number,
	from: number,
	to: number,
	base: number,
	shift: number,
	starts: Int32Array,
	tiles: number,
): number {
	let next = at;
	let right = base + TILE_PX * (1 + Math.floor((from - base) / TILE_PX));
	let tile = 3 * (tiles + Math.floor((from - base) / TILE_PX));
	// Hot loop.
	for (let left = from; left < to; left = right, right += TILE_PX, tile += 3, next += numbers) {
		// squares of one light together
		for (; right < to && starts[tile + 3] === starts[tile]; tile += 3, right += TILE_PX)
			if (starts[tile + 4] !== starts[tile + 1] || starts[tile + 5] !== starts[tile + 2]) break;
		pieces[next] = 3 * (left + shift);
		pieces[next + 1] = left;
		pieces[next + 2] = Math.min(to, right);
		pieces[next + 3] = starts[tile]!;
		pieces[next + 4] = starts[tile + 1]!;
		pieces[next + 5] = starts[tile + 2]!;
	}
	return next;
}

/** Bytes that `eachStrip` needs from the memory's start on. */
export function stripMemory(raster: Raster, { steps, across }: StepTable, numbers = PIECE): number {
	const photo = 3 * raster.width * TILE_PX + 16;
	return 16 * Math.ceil((photo + steps.length + 4 * numbers * TILE_PX * (across + 1)) / 16);
}

/**
 * Lay the photo's rows into the kernels' memory, as many at a time as share their squares of light, with the step tables and the rows' pieces.
 *
 * @param work - gets the address of the rows' pieces and how many they are, what leads from a place in the photo's bytes to its address, the
 *   address of the step tables and the first row
 */
export function eachStrip(
	memory: Uint8Array<ArrayBuffer>,
	raster: Raster,
	{ height, rowOffset }: Pick<FieldBox, 'height' | 'rowOffset'>,
	{ steps }: StepTable,
	{ pieces, firstOfRow }: Pieces,
	work: (at: number, count: number, photo: number, steps: number, row: number) => void,
	numbers = PIECE,
): void {
	const tables = 3 * raster.width * TILE_PX + 16;
	const at = 4 * Math.ceil((tables + steps.length) / 4);
	const words = new Int32Array(memory.buffer);
	memory.set(steps, tables);
	for (let row = 0; row < height; row += TILE_PX) {
		const past = Math.min(height, row + TILE_PX);
		const [from, to] = [firstOfRow[row]!, firstOfRow[past]!];
		if (to === from) continue;
		const first = 3 * (row + rowOffset) * raster.width;
		memory.set(raster.data.subarray(first, 3 * (past + rowOffset) * raster.width), 0);
		words.set(pieces.subarray(from, to), at / 4);
		work(at, (to - from) / numbers, -first, tables, row);
	}
}
