import {
	either,
	isZero,
	loadByte,
	loadDouble,
	loadFloat,
	loadWord,
	plusDouble,
	shiftLeft,
	storeDouble,
	storeWord,
	timesDouble,
	toDouble,
} from './wasmBytes';
import { type Code, get, increase, plus, repeat, set, some, type WasmFunction, when, whole } from './wasmCode';

/** Whole numbers a stretch of pixels: the addresses of its sum, its gains, its first mark in two places and its first byte, and how many pixels. */
export const STRETCH = 6;
/** Bytes a sum: three 64-bit floats and, in a word of 32 bits, how many pixels came in. */
export const SUM_BYTES = 32;

const [SUM, GAIN, ONE, OTHER, AT, PIXELS] = [0, 4, 8, 12, 16, 20] as const;
/** Bytes of a table of 256 levels. */
const TABLE = 1024;

/**
 * Add up the light of stretches of pixels, without those that are marked by other than 0 in one place or the other:
 * `addStretches(stretches, count, tables)`. Three tables of light by code, one after another; sums are multiplied by the stretch's gains.
 */
export const addStretches: WasmFunction = {
	name: 'addStretches',
	parameters: ['i32', 'i32', 'i32'],
	body: (locals) => {
		const [stretches, count, tables] = [0, 1, 2] as const;
		const sums = some(locals, 3, 'f64');
		const [one, other, at, found, into, gain] = some(locals, 6, 'i32');
		const level = (c: number): Code =>
			toDouble(loadFloat(plus(get(tables), shiftLeft(loadByte(get(at), c), whole(2))), TABLE * c));
		return repeat(locals, get(count), [
			...set(one, loadWord(get(stretches), ONE)),
			...set(other, loadWord(get(stretches), OTHER)),
			...set(at, loadWord(get(stretches), AT)),
			...set(found, whole(0)),
			...sums.flatMap((sum) => set(sum, NOUGHT)),
			...repeat(locals, loadWord(get(stretches), PIXELS), [
				...when(isZero(either(loadByte(get(one)), loadByte(get(other)))), [
					...sums.flatMap((sum, c) => set(sum, plusDouble(get(sum), level(c)))),
					...increase(found, whole(1)),
				]),
				...increase(one, whole(1)),
				...increase(other, whole(1)),
				...increase(at, whole(3)),
			]),
			...set(into, loadWord(get(stretches), SUM)),
			...set(gain, loadWord(get(stretches), GAIN)),
			...sums.flatMap((sum, c) =>
				storeDouble(
					get(into),
					plusDouble(loadDouble(get(into), 8 * c), timesDouble(get(sum), toDouble(loadFloat(get(gain), 4 * c)))),
					8 * c,
				),
			),
			...storeWord(get(into), plus(loadWord(get(into), 24), get(found)), 24),
			...increase(stretches, whole(4 * STRETCH)),
		]);
	},
};

const NOUGHT: Code = [0x44, 0, 0, 0, 0, 0, 0, 0, 0];
