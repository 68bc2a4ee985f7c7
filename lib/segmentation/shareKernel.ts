import {
	type Code,
	constant4,
	constants4,
	divided4,
	get,
	increase,
	larger4,
	load4,
	minus4,
	minusWhole4,
	plus4,
	plusWhole4,
	repeat,
	set,
	shifted4,
	some,
	store4,
	times4,
	turned4,
	type WasmFunction,
} from './wasmCode';

/** Bytes of four floats. */
const FOUR = 16;
/** Added to a float below 2 ** 22 it leaves the nearest whole number in the lowest bits (24-bit significands, IEEE 754). */
const ROUNDER = 1.5 * 2 ** 23;
/** Bits of a float behind its exponent. */
const SIGNIFICAND = 23;
/** Exponents below this one are raised to it: the share is nothing either way, and the float stays a normal one. */
const LEAST = -80;
/** Terms of the series of 2 ** x about 0; for half a step to either side off by less than 2e-7. */
const TERMS = 6;

/** Class scores of pixels turned into class shares: see `Kernels.shares`. */
export const shares: WasmFunction = {
	name: 'shares',
	parameters: ['i32', 'i32', 'i32'],
	body: (locals) => {
		const [at, pixelStep, count] = [0, 1, 2] as const;
		const pair = some(locals, 2);
		const [absent, most, rounder, power, whole, part, series] = some(locals, 7);
		const factors = Array.from({ length: TERMS + 1 }, (_, k) => Math.LN2 ** k / factorial(k));
		const constants = some(locals, TERMS + 1);
		/** 2 to the power of x = whole + part: the series of the part, the whole number added to the float's exponent. */
		const exponential = (value: number): Code => [
			...set(power, times4(larger4(minus4(get(value), get(most)), constant4(LEAST)), constant4(Math.LOG2E))),
			...set(whole, plus4(get(power), get(rounder))),
			...set(part, minus4(get(power), minus4(get(whole), get(rounder)))),
			...set(series, get(constants[TERMS]!)),
			...Array.from({ length: TERMS }, (_, k) =>
				set(series, plus4(times4(get(series), get(part)), get(constants[TERMS - 1 - k]!))),
			).flat(),
			...set(value, plusWhole4(get(series), shifted4(minusWhole4(get(whole), get(rounder)), SIGNIFICAND))),
		];
		return [
			...set(rounder, constant4(ROUNDER)),
			...set(absent, constants4(0, 0, -1e4, -1e4)),
			...constants.flatMap((local, k) => set(local, constant4(factors[k]!))),
			...repeat(locals, get(count), [
				...set(pair[0], load4(get(at))),
				...set(pair[1], plus4(load4(get(at), FOUR), get(absent))),
				...set(most, larger4(get(pair[0]), get(pair[1]))),
				...set(most, larger4(get(most), turned4(get(most), get(most), 2))),
				...set(most, larger4(get(most), turned4(get(most), get(most), 1))),
				...pair.flatMap(exponential),
				...set(series, plus4(get(pair[0]), get(pair[1]))),
				...set(series, plus4(get(series), turned4(get(series), get(series), 2))),
				...set(series, plus4(get(series), turned4(get(series), get(series), 1))),
				...pair.flatMap((value, k) => store4(get(at), divided4(get(value), get(series)), FOUR * k)),
				...increase(at, get(pixelStep)),
			]),
		];
	},
};

function factorial(k: number): number {
	return k === 0 ? 1 : k * factorial(k - 1);
}
