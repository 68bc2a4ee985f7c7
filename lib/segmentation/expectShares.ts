import { kernelsOf } from './kernelMemory';
import {
	constant4,
	divided4,
	get,
	increase,
	larger4,
	load4,
	loadAll4,
	plus4,
	repeat,
	set,
	some,
	store4,
	times4,
	turned4,
	type WasmFunction,
	whole,
} from './wasmCode';

interface ExpectFunctions {
	/** Adds what each of `places` gives to each colour, four at a time. */
	expect(places: number, fours: number, density: number, pixels: number, weights: number, expected: number): void;
}

/** Sums of densities below this are none; their pixels speak for no colour. */
const LEAST_SUM = 1e-30;

const expect: WasmFunction = {
	name: 'expect',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [places, fours, density, pixels, weights, expected] = [0, 1, 2, 3, 4, 5] as const;
		const [sum, scale] = some(locals, 2);
		const [at, weight, into] = some(locals, 3, 'i32');
		return repeat(locals, get(places), [
			...set(at, get(density)),
			...set(weight, get(weights)),
			...set(sum, constant4(0)),
			...repeat(locals, get(fours), [
				...set(sum, plus4(get(sum), times4(load4(get(at)), load4(get(weight))))),
				...increase(at, whole(16)),
				...increase(weight, whole(16)),
			]),
			// the four parts of the sum, summed in all four places
			...set(sum, plus4(get(sum), turned4(get(sum), get(sum), 2))),
			...set(sum, plus4(get(sum), turned4(get(sum), get(sum), 1))),
			...set(scale, divided4(loadAll4(get(pixels)), larger4(get(sum), constant4(LEAST_SUM)))),
			...set(into, get(expected)),
			...repeat(locals, get(fours), [
				...store4(get(into), plus4(load4(get(into)), times4(get(scale), load4(get(density))))),
				...increase(density, whole(16)),
				...increase(into, whole(16)),
			]),
			...increase(pixels, whole(4)),
		]);
	},
};

const kernels = kernelsOf<ExpectFunctions>([expect]);

/** Works out `expected` from `weights`: for each colour what the places give to it, over its weight. Both have `width` numbers. */
export type Expectation = (weights: Float64Array, expected: Float64Array) => void;

/**
 * One round of expectation of a mixture of colours, for as many rounds as follow on the same places.
 *
 * @param pixels - share of all pixels in each place
 * @param density - of each colour in each place, places x width; width is a multiple of four
 */
export function expectationOf(pixels: Float64Array, density: Float64Array, width: number): Expectation {
	const [ofPixels, ofWeights] = [4 * density.length, 4 * density.length + 16 * Math.ceil(pixels.length / 4)];
	const made = kernels(ofWeights + 8 * width);
	if (made === undefined || pixels.length === 0)
		return (weights, expected) => slowly(pixels, density, weights, expected);
	const floats = new Float32Array(made.bytes.buffer);
	floats.set(density, 0);
	floats.set(pixels, ofPixels / 4);
	const from = ofWeights / 4;
	return (weights, expected) => {
		floats.set(weights, from);
		floats.fill(0, from + width, from + 2 * width);
		made.expect(pixels.length, width / 4, 0, ofPixels, ofWeights, ofWeights + 4 * width);
		for (let c = 0; c < width; c++) expected[c] = floats[from + width + c]!;
	};
}

/** The same where WebAssembly has no SIMD. */
export function slowly(
	pixels: Float64Array,
	density: Float64Array,
	weights: Float64Array,
	expected: Float64Array,
): void {
	const width = weights.length;
	expected.fill(0);
	for (let k = 0; k < pixels.length; k++) {
		const from = k * width;
		let sum = 0;
		for (let c = 0; c < width; c++) sum += weights[c]! * density[from + c]!;
		if (sum < LEAST_SUM) continue;
		const scale = pixels[k]! / sum;
		for (let c = 0; c < width; c++) expected[c]! += scale * density[from + c]!;
	}
}
