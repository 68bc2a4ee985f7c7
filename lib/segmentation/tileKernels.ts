import {
	type Code,
	constant4,
	get,
	increase,
	larger4,
	load4,
	minus4,
	plus4,
	repeat,
	set,
	some,
	spread4,
	store4,
	times,
	times4,
	type WasmFunction,
	whole,
} from './wasmCode';

/** Bytes of four floats. */
const FOUR = 16;
const SIX = [0, 1, 2, 3, 4, 5] as const;
const FOUR_PLACES = [0, 1, 2, 3] as const;

/** 6 x 6 pixels of each of a row of tiles into 36 planes: see `Kernels.toTiles`. */
export const toTiles: WasmFunction = {
	name: 'toTiles',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [from, pixelStep, rowStep, to, planeStep, tiles, channels4] = [0, 1, 2, 3, 4, 5, 6] as const;
		const [tile, column, at, into] = [locals.i32(), locals.i32(), locals.i32(), locals.i32()];
		const grid = SIX.map(() => some(locals, 6));
		const line = some(locals, 6);
		const parts = some(locals, 4);
		const [two, four, five] = some(locals, 3);
		const turn = (out: readonly number[]): Code => {
			const d = (i: number) => get(line[i]!);
			const [p, q, r, s] = parts;
			return [
				...set(p, minus4(d(4), times4(get(four), d(2)))),
				...set(q, minus4(d(3), times4(get(four), d(1)))),
				...set(r, minus4(d(4), d(2))),
				...set(s, times4(get(two), minus4(d(3), d(1)))),
				...set(out[0]!, plus4(minus4(times4(get(four), d(0)), times4(get(five), d(2))), d(4))),
				...set(out[1]!, plus4(get(p), get(q))),
				...set(out[2]!, minus4(get(p), get(q))),
				...set(out[3]!, plus4(get(r), get(s))),
				...set(out[4]!, minus4(get(r), get(s))),
				...set(out[5]!, plus4(minus4(times4(get(four), d(1)), times4(get(five), d(3))), d(5))),
			];
		};
		const one: Code = [
			...set(column, get(tile)),
			...SIX.flatMap((q) => [
				...set(at, get(column)),
				...SIX.flatMap((r) => [...set(line[r]!, load4(get(at))), ...(r < 5 ? increase(at, get(rowStep)) : [])]),
				...turn(SIX.map((r) => grid[r]![q]!)),
				...increase(column, get(pixelStep)),
			]),
			...set(into, get(to)),
			...SIX.flatMap((r) => [
				...SIX.flatMap((q) => set(line[q]!, get(grid[r]![q]!))),
				...turn(grid[r]!),
				...SIX.flatMap((q) => [...store4(get(into), get(grid[r]![q]!)), ...increase(into, get(planeStep))]),
			]),
			...increase(tile, whole(FOUR)),
			...increase(to, whole(FOUR)),
		];
		return [
			...set(two, constant4(2)),
			...set(four, constant4(4)),
			...set(five, constant4(5)),
			...repeat(locals, get(tiles), [
				...set(tile, get(from)),
				...repeat(locals, get(channels4), one),
				...increase(from, times(get(pixelStep), whole(4))),
			]),
		];
	},
};

/** 36 planes back into 4 x 4 pixels a tile, `onto` what stands there or not: see `Kernels.fromTiles`. */
export function fromTiles(name: string, onto: boolean): WasmFunction {
	return {
		name,
		parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'f32'],
		body: (locals) => {
			const [from, planeStep, to, pixelStep, rowStep, tiles, channels4, bias, floorAt] = [
				0, 1, 2, 3, 4, 5, 6, 7, 8,
			] as const;
			const [tile, at, into, row, biasAt] = some(locals, 5, 'i32');
			const grid = FOUR_PLACES.map(() => some(locals, 6));
			const line = some(locals, 6);
			const [p, q, r, s] = some(locals, 4);
			const [floor, offset, two, four, eight] = some(locals, 5);
			const turn = (out: readonly number[]): Code => {
				const d = (i: number) => get(line[i]!);
				return [
					...set(p, plus4(d(1), d(2))),
					...set(q, minus4(d(1), d(2))),
					...set(r, plus4(d(3), d(4))),
					...set(s, minus4(d(3), d(4))),
					...set(out[0]!, plus4(plus4(d(0), get(p)), get(r))),
					...set(out[1]!, plus4(get(q), times4(get(two), get(s)))),
					...set(out[2]!, plus4(get(p), times4(get(four), get(r)))),
					...set(out[3]!, plus4(plus4(get(q), times4(get(eight), get(s))), d(5))),
				];
			};
			const whereAt = (value: Code): Code => (onto ? plus4(value, load4(get(into))) : value);
			const rowPlanes = times(get(planeStep), whole(6));
			const one: Code = [
				...set(offset, load4(get(biasAt))),
				...set(row, get(from)),
				...SIX.flatMap((column) => [
					...set(at, get(row)),
					...SIX.flatMap((k) => [...set(line[k]!, load4(get(at))), ...(k < 5 ? increase(at, rowPlanes) : [])]),
					...turn(FOUR_PLACES.map((k) => grid[k]![column]!)),
					...increase(row, get(planeStep)),
				]),
				...set(row, get(tile)),
				...FOUR_PLACES.flatMap((k) => [
					...set(into, get(row)),
					...SIX.flatMap((column) => set(line[column]!, get(grid[k]![column]!))),
					...turn(grid[k]!),
					...FOUR_PLACES.flatMap((column) => [
						...store4(get(into), larger4(whereAt(plus4(get(grid[k]![column]!), get(offset))), get(floor))),
						...increase(into, get(pixelStep)),
					]),
					...increase(row, get(rowStep)),
				]),
				...increase(tile, whole(FOUR)),
				...increase(from, whole(FOUR)),
				...increase(biasAt, whole(FOUR)),
			];
			return [
				...set(floor, spread4(get(floorAt))),
				...set(two, constant4(2)),
				...set(four, constant4(4)),
				...set(eight, constant4(8)),
				...repeat(locals, get(tiles), [
					...set(tile, get(to)),
					...set(biasAt, get(bias)),
					...repeat(locals, get(channels4), one),
					...increase(to, times(get(pixelStep), whole(4))),
				]),
			];
		},
	};
}
