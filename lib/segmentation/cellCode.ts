import { less, loadByte, loadSignedByte, loadWord, minus, select, shiftLeft, storeByte, storeWord } from './wasmBytes';
import {
	and,
	type Code,
	get,
	increase,
	type Locals,
	plus,
	repeat,
	set,
	shiftRight,
	some,
	type WasmFunction,
	whole,
} from './wasmCode';

/** Numbers a piece: the first pixel's place in the photo's bytes, the first and the last (not included) in the box, and where the step tables of the three channels start. */
export const PIECE = 6;
/** With one more: what a piece's pixels are held against. */
export const JUDGED_PIECE = PIECE + 1;

/** Bytes of a number. */
const WORD = 4;

/** Goes along the pixels of pieces, at least one: `each` uses the cell of a pixel, or `clipped` where its colour is lost. */
function overPieces(
	locals: Locals,
	[pieces, count, photo, steps, clipped, leastClipped]: readonly [number, number, number, number, number, number],
	each: (cell: number, pixel: number) => Code,
	numbers = PIECE,
): Code {
	const [at, pixel, red, green, blue, rgb, cell] = some(locals, 7, 'i32');
	const field = (k: number): Code => loadWord(get(pieces), WORD * k);
	const stepOf = (table: number, bits: number): Code =>
		loadByte(plus(get(table), and(shiftRight(get(rgb), bits), whole(255))));
	return repeat(locals, get(count), [
		...set(at, plus(field(0), get(photo))),
		...set(pixel, field(1)),
		...[red, green, blue].flatMap((table, c) => set(table, plus(field(3 + c), get(steps)))),
		...repeat(locals, minus(field(2), field(1)), [
			// three channels and a byte that nobody looks at
			...set(rgb, loadWord(get(at))),
			...set(
				cell,
				plus(plus(shiftLeft(stepOf(red, 0), whole(12)), shiftLeft(stepOf(green, 8), whole(6))), stepOf(blue, 16)),
			),
			...set(
				cell,
				select(
					get(cell),
					get(clipped),
					less(
						and(and(and(get(rgb), shiftRight(get(rgb), 8)), shiftRight(get(rgb), 16)), whole(255)),
						get(leastClipped),
					),
				),
			),
			...each(cell, pixel),
			...increase(pixel, whole(1)),
			...increase(at, whole(3)),
		]),
		...increase(pieces, whole(WORD * numbers)),
	]);
}

/** Counts the cells of pieces' pixels: `countPieces(pieces, count, photo, steps, clipped, leastClipped, counts)`. */
export const countPieces: WasmFunction = {
	name: 'countPieces',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const counts = 6;
		const place = locals.i32();
		return overPieces(locals, [0, 1, 2, 3, 4, 5], (cell) => [
			...set(place, plus(get(counts), shiftLeft(get(cell), whole(2)))),
			...storeWord(get(place), plus(loadWord(get(place)), whole(1))),
		]);
	},
};

/** Labels of pieces' pixels by cell, a byte each: `labelPieces(pieces, count, photo, steps, clipped, leastClipped, codes, labels)`. */
export const labelPieces: WasmFunction = {
	name: 'labelPieces',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [codes, labels] = [6, 7] as const;
		return overPieces(locals, [0, 1, 2, 3, 4, 5], (cell, pixel) =>
			storeByte(plus(get(labels), get(pixel)), loadByte(plus(get(codes), get(cell)))),
		);
	},
};

/**
 * Another label for pixels whose cell's signed byte is below the last of their piece's numbers:
 * `outvotePieces(pieces, count, photo, steps, clipped, leastClipped, logs, labels, label)`.
 */
export const outvotePieces: WasmFunction = {
	name: 'outvotePieces',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [pieces, logs, labels, label] = [0, 6, 7, 8] as const;
		const place = locals.i32();
		return overPieces(
			locals,
			[pieces, 1, 2, 3, 4, 5],
			(cell, pixel) => [
				...set(place, plus(get(labels), get(pixel))),
				...storeByte(
					get(place),
					select(
						get(label),
						loadByte(get(place)),
						less(loadSignedByte(plus(get(logs), get(cell))), loadWord(get(pieces), WORD * PIECE)),
					),
				),
			],
			JUDGED_PIECE,
		);
	},
};
