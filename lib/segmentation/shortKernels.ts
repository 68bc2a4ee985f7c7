import {
	and,
	type Code,
	constant4,
	divided4,
	floats4,
	get,
	increase,
	larger4,
	load4,
	loadAll4,
	minusWhole4,
	pairs4,
	plus4,
	plusWhole4,
	repeat,
	root4,
	set,
	shiftRight,
	shortened8,
	some,
	spread4,
	store4,
	store32,
	store64,
	times4,
	turned4,
	type WasmFunction,
	when,
	whole,
} from './wasmCode';

/** Bytes of four floats. */
const FOUR = 16;
/** Length of a row of 16-bit numbers: whatever its direction, no single number overflows, and no product with `LONGEST_COLUMN`. */
const LONGEST_ROW = 32767;
/** Length of a column of 16-bit weights; a product of both lengths stays below 2 ** 31 (Cauchy and Schwarz). */
export const LONGEST_COLUMN = 65535;
/** Added to a float below 2 ** 22 it leaves the nearest whole number in the lowest bits (24-bit significands, IEEE 754). */
const ROUNDER = 1.5 * 2 ** 23;
/** So small that it changes no length but keeps a row of zeros from being divided by 0. */
const TINY = 1e-30;

/** Rows of floats as rows of 16-bit numbers: see `Kernels.shorten`. */
export const shorten: WasmFunction = {
	name: 'shorten',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [from, fromStep, to, toStep, scales, scaleStep, rows, k4] = [0, 1, 2, 3, 4, 5, 6, 7] as const;
		const [at, into, pairs, isOdd] = some(locals, 4, 'i32');
		const [value, sum, other, factor, rounder, tiny, longest, share] = some(locals, 8);
		const squared = (into4: number, offset: number): Code => [
			...set(value, load4(get(at), offset)),
			...set(into4, plus4(get(into4), times4(get(value), get(value)))),
		];
		const rounded = (offset: number): Code =>
			minusWhole4(plus4(times4(load4(get(at), offset), get(factor)), get(rounder)), get(rounder));
		return [
			...set(rounder, constant4(ROUNDER)),
			...set(tiny, constant4(TINY)),
			...set(longest, constant4(LONGEST_ROW)),
			...set(share, constant4(1 / LONGEST_ROW)),
			...set(pairs, shiftRight(get(k4), 1)),
			...set(isOdd, and(get(k4), whole(1))),
			...repeat(locals, get(rows), [
				...set(at, get(from)),
				...set(sum, get(tiny)),
				...set(other, get(tiny)),
				...when(
					get(pairs),
					repeat(locals, get(pairs), [...squared(sum, 0), ...squared(other, FOUR), ...increase(at, whole(2 * FOUR))]),
				),
				...when(get(isOdd), squared(sum, 0)),
				...set(sum, plus4(get(sum), get(other))),
				...set(sum, plus4(get(sum), turned4(get(sum), get(sum), 2))),
				...set(sum, root4(plus4(get(sum), turned4(get(sum), get(sum), 1)))),
				...store32(get(scales), times4(get(sum), get(share))),
				...set(factor, divided4(get(longest), get(sum))),
				...set(at, get(from)),
				...set(into, get(to)),
				...when(
					get(pairs),
					repeat(locals, get(pairs), [
						...set(value, rounded(0)),
						...store4(get(into), shortened8(get(value), rounded(FOUR))),
						...increase(at, whole(2 * FOUR)),
						...increase(into, whole(FOUR)),
					]),
				),
				...when(get(isOdd), [...set(value, rounded(0)), ...store64(get(into), shortened8(get(value), get(value)))]),
				...increase(from, get(fromStep)),
				...increase(to, get(toStep)),
				...increase(scales, get(scaleStep)),
			]),
		];
	},
};

/** Product of 16-bit matrices of `k` columns and rows: see `Kernels.multiplyShort`. Made for one `k`, so that all rows are reached from one address. */
export function multiplyShort(k: number, isBare: boolean): WasmFunction {
	return {
		name: shortName(k, isBare),
		parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'f32'],
		body: (locals) => {
			const [a, aScales, b, bScales, bias, c, cStep, m, n, floorAt] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9] as const;
			const [floor, zero] = some(locals, 2);
			const panel = (columns4: 1 | 2): Code => {
				const sums = ROWS.map(() => some(locals, columns4));
				const weights = some(locals, columns4);
				const columnScales = some(locals, columns4);
				const number = locals.f32x4();
				const [row, toRow, weight, scaleAt] = some(locals, 4, 'i32');
				const pair: Code = [
					...weights.flatMap((w, j) => set(w, load4(get(weight), FOUR * j))),
					...ROWS.flatMap((r) => [
						...set(number, loadAll4(get(row), 2 * k * r)),
						...sums[r]!.flatMap((sum, j) => set(sum, plusWhole4(get(sum), pairs4(get(number), get(weights[j]!))))),
					]),
				];
				const scaled = (sum: number, j: number): Code =>
					times4(times4(floats4(get(sum)), get(number)), get(columnScales[j]!));
				const result = (sum: number, j: number): Code =>
					isBare ? scaled(sum, j) : larger4(plus4(scaled(sum, j), load4(get(bias), FOUR * j)), get(floor));
				const fourRows: Code = [
					...sums.flatMap((four) => four.flatMap((sum) => set(sum, get(zero)))),
					...set(weight, get(b)),
					// one pair a turn: with more, compilers run out of registers, which costs a quarter
					...repeat(locals, whole(k / 2), [
						...pair,
						...increase(row, whole(4)),
						...increase(weight, whole(FOUR * columns4)),
					]),
					...sums.flatMap((four, r) => [
						...set(number, loadAll4(get(scaleAt), 4 * r)),
						...four.flatMap((sum, j) => store4(get(toRow), result(sum, j), FOUR * j)),
						...increase(toRow, get(cStep)),
					]),
					...increase(row, whole(3 * 2 * k)),
					...increase(scaleAt, whole(FOUR)),
				];
				return [
					...columnScales.flatMap((scale, j) => set(scale, load4(get(bScales), FOUR * j))),
					...set(row, get(a)),
					...set(toRow, get(c)),
					...set(scaleAt, get(aScales)),
					...repeat(locals, get(m), fourRows),
					...set(b, get(weight)),
					...(isBare ? [] : increase(bias, whole(FOUR * columns4))),
					...increase(bScales, whole(FOUR * columns4)),
					...increase(c, whole(FOUR * columns4)),
				];
			};
			return [
				...set(zero, constant4(0)),
				...set(floor, spread4(get(floorAt))),
				...when(shiftRight(get(n), 3), repeat(locals, shiftRight(get(n), 3), panel(2))),
				...when(and(get(n), whole(4)), panel(1)),
			];
		},
	};
}

/** Rows of A worked on at once. */
const ROWS = [0, 1, 2, 3] as const;

/** Name of the function for matrices of `k` columns and rows; bare ones take no bias and have no floor. */
export function shortName(k: number, isBare: boolean): string {
	return `${isBare ? 'bare' : 'short'}${k}`;
}
