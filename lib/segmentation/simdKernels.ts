import { shares } from './shareKernel';
import { multiplyShort, shorten } from './shortKernels';
import { fromTiles, toTiles } from './tileKernels';
import {
	and,
	type Code,
	get,
	increase,
	larger4,
	load4,
	loadAll4,
	plus,
	plus4,
	repeat,
	set,
	shiftRight,
	some,
	spread4,
	store4,
	times,
	times4,
	type WasmFunction,
	wasmModule,
	when,
	whole,
} from './wasmCode';

/**
 * What a network is made of, on one WebAssembly memory of 32-bit floats. Addresses and steps are in bytes; channels lie together
 * and come in fours.
 *
 * Convolutions of 3 x 3 go by squares of 4 x 4 results: `toTiles`, 36 products by `multiply`, `fromTiles`. That takes four times
 * fewer multiplications than going pixel by pixel and gives the same sums but for rounding.
 *
 * @source A. Lavin, S. Gray, Fast Algorithms for Convolutional Neural Networks, CVPR 2016: F(4 x 4, 3 x 3) (matrices from memory,
 *   held by tests/segmentation/network.test.ts)
 */
export interface Kernels {
	/**
	 * C = max(floor, A x B + bias): `m` times four rows of A, `k` times four numbers each, `n` columns (in fours).
	 * B stands in panels of eight columns (a last one of four): see `panelsOf` in network.ts.
	 */
	multiply(
		a: number,
		aStep: number,
		b: number,
		bias: number,
		c: number,
		cStep: number,
		m: number,
		n: number,
		k: number,
		floor: number,
	): void;
	/**
	 * Rows of `k4` times four floats as 16-bit numbers, each row with a scale of its own (float = number x scale), such that its
	 * length (the root of its sum of squares) is that of the longest row that can't overflow in a product of 16-bit numbers.
	 */
	shorten(
		from: number,
		fromStep: number,
		to: number,
		toStep: number,
		scales: number,
		scaleStep: number,
		rows: number,
		k4: number,
	): void;
	/** 6 x 6 pixels of each of a row of tiles into 36 planes, `planeStep` apart, tile by tile, channels together. */
	toTiles(
		from: number,
		pixelStep: number,
		rowStep: number,
		to: number,
		planeStep: number,
		tiles: number,
		channels4: number,
	): void;
	/** Back into 4 x 4 pixels a tile, with bias, not below `floor`. */
	fromTiles(
		from: number,
		planeStep: number,
		to: number,
		pixelStep: number,
		rowStep: number,
		tiles: number,
		channels4: number,
		bias: number,
		floor: number,
	): void;
	/** The same, added to what stands there already. */
	fromTilesOnto: Kernels['fromTiles'];
	/** Class scores of a row of pixels (six of eight numbers each) turned into class shares in their place. */
	shares(at: number, pixelStep: number, count: number): void;
	/** Squares of 2 x 2 pixels of a pair of rows, each laid out as one row of 4 x channels. */
	squares(from: number, pixelStep: number, rowStep: number, to: number, count: number, channels4: number): void;
	/** A row at twice its width, each pixel twice. */
	widen(from: number, fromStep: number, to: number, toStep: number, count: number, channels4: number): void;
	/** The same, added to what stands there, not below 0. */
	widenOnto: Kernels['widen'];
}

/**
 * As `Kernels.multiply`, on rows of 16-bit numbers that lie close one after the other, with a scale for each row of A and each
 * column of B; sums are whole numbers. The bare ones take no notice of bias and floor.
 */
export type MultiplyShort = (
	a: number,
	aScales: number,
	b: number,
	bScales: number,
	bias: number,
	c: number,
	cStep: number,
	m: number,
	n: number,
	floor: number,
) => void;

/** Bytes of four floats. */
const FOUR = 16;

/**
 * The module's bytes; `host.memory` is what it works on.
 *
 * @param lengths - rows of 16-bit numbers that come: there is a `MultiplyShort` for each, see `shortName`
 * @param isShared - the memory is one that threads share
 */
export function kernelModule(lengths: readonly number[], isShared: boolean): Uint8Array<ArrayBuffer> {
	const functions = [
		multiply,
		shorten,
		...lengths.flatMap((k) => [multiplyShort(k, false), multiplyShort(k, true)]),
		shares,
		toTiles,
		fromTiles('fromTiles', false),
		fromTiles('fromTilesOnto', true),
		squares,
		widen('widen', false),
		widen('widenOnto', true),
	];
	return wasmModule(functions, isShared);
}

const multiply: WasmFunction = {
	name: 'multiply',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'f32'],
	body: (locals) => {
		const [a, aStep, b, bias, c, cStep, m, n, k, floorAt] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9] as const;
		const floor = locals.f32x4();
		const panel = (columns4: 1 | 2): Code => {
			const rows = [0, 1, 2, 3].map(() => locals.i32());
			const sums = rows.map(() => some(locals, columns4));
			const [biases, weights, number] = [some(locals, columns4), some(locals, columns4), locals.f32x4()];
			const [fromRow, toRow, weight, into] = [locals.i32(), locals.i32(), locals.i32(), locals.i32()];
			const step = (u: number): Code => [
				...weights.flatMap((w, j) => set(w, load4(get(weight), FOUR * (u * columns4 + j)))),
				...rows.flatMap((row, r) => [
					...set(number, loadAll4(get(row), 4 * u)),
					...sums[r]!.flatMap((sum, j) => set(sum, plus4(get(sum), times4(get(number), get(weights[j]!))))),
				]),
			];
			const fourRows: Code = [
				...rows.flatMap((row, r) => set(row, r === 0 ? get(fromRow) : plus(get(rows[r - 1]!), get(aStep)))),
				...sums.flatMap((row) => row.flatMap((sum, j) => set(sum, get(biases[j]!)))),
				...set(weight, get(b)),
				...repeat(locals, get(k), [
					...[0, 1, 2, 3].flatMap(step),
					...rows.flatMap((row) => increase(row, whole(FOUR))),
					...increase(weight, whole(4 * FOUR * columns4)),
				]),
				...set(into, get(toRow)),
				...sums.flatMap((row) => [
					...row.flatMap((sum, j) => store4(get(into), larger4(get(sum), get(floor)), FOUR * j)),
					...increase(into, get(cStep)),
				]),
				...increase(fromRow, times(get(aStep), whole(4))),
				...set(toRow, get(into)),
			];
			return [
				...biases.flatMap((value, j) => set(value, load4(get(bias), FOUR * j))),
				...set(fromRow, get(a)),
				...set(toRow, get(c)),
				...repeat(locals, get(m), fourRows),
				...set(b, get(weight)),
				...increase(bias, whole(FOUR * columns4)),
				...increase(c, whole(FOUR * columns4)),
			];
		};
		return [
			...set(floor, spread4(get(floorAt))),
			...when(shiftRight(get(n), 3), repeat(locals, shiftRight(get(n), 3), panel(2))),
			...when(and(get(n), whole(4)), panel(1)),
		];
	},
};

const squares: WasmFunction = {
	name: 'squares',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [from, pixelStep, rowStep, to, count, channels4] = [0, 1, 2, 3, 4, 5] as const;
		const [corner, at] = some(locals, 2, 'i32');
		const pixel = (start: Code): Code => [
			...set(at, start),
			...repeat(locals, get(channels4), [
				...store4(get(to), load4(get(at))),
				...increase(to, whole(FOUR)),
				...increase(at, whole(FOUR)),
			]),
		];
		const row = [...pixel(get(corner)), ...pixel(plus(get(corner), get(pixelStep)))];
		return repeat(locals, get(count), [
			...set(corner, get(from)),
			...row,
			...increase(corner, get(rowStep)),
			...row,
			...increase(from, times(get(pixelStep), whole(2))),
		]);
	},
};

function widen(name: string, onto: boolean): WasmFunction {
	return {
		name,
		parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
		body: (locals) => {
			const [from, fromStep, to, toStep, count, channels4] = [0, 1, 2, 3, 4, 5] as const;
			const [at, first, second] = some(locals, 3, 'i32');
			const [value, zero] = some(locals, 2);
			const put = (place: number): Code => [
				...store4(get(place), onto ? larger4(plus4(get(value), load4(get(place))), get(zero)) : get(value)),
				...increase(place, whole(FOUR)),
			];
			return repeat(locals, get(count), [
				...set(at, get(from)),
				...set(first, get(to)),
				...set(second, plus(get(to), get(toStep))),
				...repeat(locals, get(channels4), [
					...set(value, load4(get(at))),
					...put(first),
					...put(second),
					...increase(at, whole(FOUR)),
				]),
				...increase(from, get(fromStep)),
				...increase(to, times(get(toStep), whole(2))),
			]);
		},
	};
}
