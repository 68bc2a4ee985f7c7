import {
	load16,
	loadByte,
	loadShort,
	lowerShorts,
	meanShorts,
	plusShorts,
	shiftShorts,
	shorts8,
	store16,
	storeByte,
	timesFractions,
	upperShorts,
} from './wasmBytes';
import { type Code, get, increase, plus, repeat, set, shiftRight, times, type WasmFunction, whole } from './wasmCode';

/**
 * sRGB codes to linear light in 32768ths by a cubic that stays within 0.002 of the curve (IEC 61966-2-1); light is only averaged with
 * it and goes back by `codesOfLight`, so that an even patch keeps its code.
 *
 * @source coefficients fitted to the curve over 0 to 1, known from shader practice (from memory); held by tests/segmentation/fieldCopy.test.ts
 */
const CUBIC = [0.012522878, 0.682171111, 0.305306011] as const;

/** A code times 128 stands for the code over 255 by this factor. */
const STEP = 32768 / (128 * 255);
/** White, a little under what a signed short holds. */
const WHITE = 31_700;
const [FIRST, SECOND, THIRD] = CUBIC.map((value, k) => Math.round(WHITE * value * STEP ** (k + 1))) as [
	number,
	number,
	number,
];

/** Entries of the way back: linear light in 16384ths. */
export const LIGHT_STEPS = 16384;

/** The same sums as the kernel's, for one code. */
export function lightOfCode(code: number): number {
	const times = (a: number, b: number) => (a * b + 0x4000) >> 15;
	const x = code << 7;
	return times(x, times(x, times(x, THIRD) + SECOND) + FIRST);
}

/** The code whose light is nearest to each step of light. */
export function codesOfLight(): Uint8Array {
	const out = new Uint8Array(LIGHT_STEPS);
	let code = 0;
	for (let step = 0; step < LIGHT_STEPS; step++) {
		const light = 2 * step + 1;
		while (code < 255 && lightOfCode(code + 1) - light < light - lightOfCode(code)) code++;
		out[step] = code;
	}
	return out;
}

/**
 * Means of squares of 2 x 2 pixels of two rows of colour: `halve(upper, lower, light, into, pixels, codes)`.
 *
 * Reads 6 bytes a pixel of the result from either row, up to 15 beyond the last; `light` is room for 12 bytes a pixel and 32 more.
 */
export const halve: WasmFunction = {
	name: 'halve',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [upper, lower, light, into, pixels, codes] = [0, 1, 2, 3, 4, 5] as const;
		const [a, b, x, at] = [locals.f32x4(), locals.f32x4(), locals.f32x4(), locals.i32()];
		const linear = (shorts: Code, sum: number): Code => [
			...set(x, shiftShorts(shorts, 7)),
			...set(
				sum,
				timesFractions(
					get(x),
					plusShorts(
						shorts8(FIRST),
						timesFractions(get(x), plusShorts(shorts8(SECOND), timesFractions(get(x), shorts8(THIRD)))),
					),
				),
			),
		];
		const half = (part: (bytes: Code) => Code, offset: number): Code => [
			...linear(part(load16(get(upper))), a),
			...linear(part(load16(get(lower))), b),
			...store16(get(at), meanShorts(get(a), get(b)), offset),
		];
		const channel = (c: number): Code =>
			storeByte(
				get(into),
				loadByte(plus(get(codes), shiftRight(plus(loadShort(get(light), 2 * c), loadShort(get(light), 2 * c + 6)), 2))),
				c,
			);
		return [
			...set(at, get(light)),
			// sixteen bytes at a time, 6 bytes a pixel
			...repeat(locals, shiftRight(plus(times(get(pixels), whole(3)), whole(7)), 3), [
				...half(lowerShorts, 0),
				...half(upperShorts, 16),
				...increase(upper, whole(16)),
				...increase(lower, whole(16)),
				...increase(at, whole(32)),
			]),
			...repeat(locals, get(pixels), [
				...[0, 1, 2].flatMap(channel),
				...increase(light, whole(12)),
				...increase(into, whole(3)),
			]),
		];
	},
};
