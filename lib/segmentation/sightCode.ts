import { BRIGHTEST, CURVE_STEPS, ROW_STEP } from './modelRows';
import {
	extractFloat,
	extractWord,
	float,
	loadByte,
	loadFloat,
	loadWord,
	minusFloat,
	plusFloat,
	shiftLeft,
	smaller4,
	smallerFloat,
	storeFloat,
	timesFloat,
} from './wasmBytes';
import {
	type Code,
	constant4,
	get,
	increase,
	larger4,
	load4,
	loadAll4,
	minus4,
	minusWhole4,
	plus,
	plus4,
	repeat,
	set,
	some,
	spread4,
	store4,
	times4,
	type WasmFunction,
	whole,
} from './wasmCode';

/** Pixels to the side of a square of one light level (reflectanceTiles.ts). */
const SQUARE_PX = 16;
/** Entries of the table of each channel. */
const CODES = 256;
/** Added to a float below 2 ** 22 it leaves the nearest whole number in the lowest bits (24-bit significands, IEEE 754). */
const ROUNDER = 1.5 * 2 ** 23;

/**
 * Bytes of a photo's row to linear reflectance: `lightRow(bytes, gains, into, squares)`. Tables of the three channels lie at the memory's start; each
 * square's three gains follow one another. Whole squares are read and written.
 */
export const lightRow: WasmFunction = {
	name: 'lightRow',
	parameters: ['i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [bytes, gains, into, squares] = [0, 1, 2, 3] as const;
		return repeat(locals, get(squares), [
			...Array.from({ length: 3 * SQUARE_PX }, (_, k): Code => {
				const c = k % 3;
				const light = loadFloat(shiftLeft(loadByte(get(bytes), k), whole(2)), 4 * CODES * c);
				return storeFloat(get(into), timesFloat(light, loadFloat(get(gains), 4 * c)), 4 * k);
			}).flat(),
			...increase(bytes, whole(3 * SQUARE_PX)),
			...increase(into, whole(4 * 3 * SQUARE_PX)),
			...increase(gains, whole(4 * 3)),
		]);
	},
};

/** Weighted sum of two rows, `kept` times what stands there added: `addRows(first, second, into, fours, weight, weight, kept)`. */
export const addRows: WasmFunction = {
	name: 'addRows',
	parameters: ['i32', 'i32', 'i32', 'i32', 'f32', 'f32', 'f32'],
	body: (locals) => {
		const [first, second, into, fours, one, other, part] = [0, 1, 2, 3, 4, 5, 6] as const;
		const [w, v, kept] = some(locals, 3);
		const sum = plus4(times4(load4(get(first)), get(w)), times4(load4(get(second)), get(v)));
		return [
			...set(w, spread4(get(one))),
			...set(v, spread4(get(other))),
			...set(kept, spread4(get(part))),
			...repeat(locals, get(fours), [
				...store4(get(into), plus4(sum, times4(load4(get(into)), get(kept)))),
				...[first, second, into].flatMap((at) => increase(at, whole(16))),
			]),
		];
	},
};

/**
 * A row brought to another width and curved, as `ModelRows` gives it: `curveRow(line, from, weights, taps, into, columns, curve)`. Each column's first
 * number in `line` stands in `from`, in bytes; `taps` weights a column follow one another.
 */
export const curveRow: WasmFunction = {
	name: 'curveRow',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [line, from, weights, taps, into, columns, curve] = [0, 1, 2, 3, 4, 5, 6] as const;
		const [at, entry] = some(locals, 2, 'i32');
		const [sum, place, low] = some(locals, 3);
		const channel = (c: 0 | 1 | 2): Code => {
			const step = minusFloat(loadFloat(get(entry), 4), loadFloat(get(entry)));
			const between = plusFloat(loadFloat(get(entry)), timesFloat(extractFloat(get(place), c), step));
			return [
				...set(entry, plus(get(curve), shiftLeft(extractWord(get(low), c), whole(2)))),
				...storeFloat(get(into), minusFloat(smallerFloat(between, float(BRIGHTEST)), float(0.5)), 4 * c),
			];
		};
		return repeat(locals, get(columns), [
			...set(at, plus(get(line), loadWord(get(from)))),
			...set(sum, constant4(0)),
			...repeat(locals, get(taps), [
				...set(sum, plus4(get(sum), times4(load4(get(at)), loadAll4(get(weights))))),
				...increase(at, whole(4 * 3)),
				...increase(weights, whole(4)),
			]),
			...set(place, times4(larger4(get(sum), constant4(0)), constant4(CURVE_STEPS / 2))),
			...set(place, smaller4(get(place), constant4(CURVE_STEPS))),
			...set(low, plus4(minus4(get(place), constant4(0.5)), constant4(ROUNDER))),
			...set(place, minus4(get(place), minus4(get(low), constant4(ROUNDER)))),
			...set(low, minusWhole4(get(low), constant4(ROUNDER))),
			...channel(0),
			...channel(1),
			...channel(2),
			...storeFloat(get(into), float(0), 4 * 3),
			...increase(from, whole(4)),
			...increase(into, whole(4 * ROW_STEP)),
		]);
	},
};
