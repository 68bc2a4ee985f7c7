import {
	andLanes,
	bytes16,
	equalBytes,
	load16,
	lookUpBytes,
	orLanes,
	store16,
	unequalBytes,
	withoutLanes,
} from './wasmBytes';
import { type Code, get, increase, plus, repeat, set, some, times, type WasmFunction, whole } from './wasmCode';

/** Side of the squares, pixels. */
export const SQUARE = 5;

const OTHERS = Array.from({ length: SQUARE - 1 }, (_, k) => k + 1);

function together(join: (a: Code, b: Code) => Code, [first = [], ...rest]: readonly Code[]): Code {
	return rest.reduce(join, first);
}

/** Sixteen bytes of some rows at a time, at `offsets` of the addresses given. */
function rowFunction(name: string, rows: number, result: (at: readonly number[]) => Code): WasmFunction {
	return {
		name,
		parameters: [...Array.from({ length: rows + 2 }, () => 'i32' as const)],
		body: (locals) => {
			const at = Array.from({ length: rows }, (_, k) => k);
			const [into, sixteens] = [rows, rows + 1];
			return repeat(locals, get(sixteens), [
				...store16(get(into), result(at)),
				...[...at, into].flatMap((address) => increase(address, whole(16))),
			]);
		},
	};
}

/** Ones where a pixel and the four to its right carry one label, not 0: `levelRuns(labels, into, sixteens)`. */
export const levelRuns = rowFunction('levelRuns', 1, ([labels = 0]) =>
	together(andLanes, [
		unequalBytes(load16(get(labels)), bytes16(0)),
		...OTHERS.map((k) => equalBytes(load16(get(labels)), load16(get(labels), k))),
	]),
);

/**
 * Ones where a square of one label has its upper left corner: five level runs below each other, the labels alike.
 * `squareCorners(runs, labels, stride, into, sixteens)`
 */
export const squareCorners: WasmFunction = {
	name: 'squareCorners',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [runs, labels, stride, into, sixteens] = [0, 1, 2, 3, 4] as const;
		const [level, alike] = some(locals, 2);
		const below = (plane: number, k: number): Code => load16(plus(get(plane), times(get(stride), whole(k))));
		return repeat(locals, get(sixteens), [
			...set(level, together(andLanes, [load16(get(runs)), ...OTHERS.map((k) => below(runs, k))])),
			...set(
				alike,
				together(
					andLanes,
					OTHERS.map((k) => equalBytes(load16(get(labels)), below(labels, k))),
				),
			),
			...store16(get(into), andLanes(get(level), get(alike))),
			...[runs, labels, into].flatMap((address) => increase(address, whole(16))),
		]);
	},
};

/** Corners drawn out to the right over their squares: `squareRows(corners, into, sixteens)`; `corners` is four bytes into a margin. */
export const squareRows = rowFunction('squareRows', 1, ([corners = 0]) =>
	together(orLanes, [load16(get(corners), 4), ...OTHERS.map((k) => load16(get(corners), 4 - k))]),
);

/**
 * Labels where no square's row of this row or the four above it lies and `kept`, by label below 16, has ones.
 * `outsideSquares(rows, labels, stride, kept, into, sixteens)`
 */
export const outsideSquares: WasmFunction = {
	name: 'outsideSquares',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [rows, labels, stride, kept, into, sixteens] = [0, 1, 2, 3, 4, 5] as const;
		const [within, label, table] = some(locals, 3);
		const above = (k: number): Code => load16(plus(get(rows), times(get(stride), whole(-k))));
		return [
			...set(table, load16(get(kept))),
			...repeat(locals, get(sixteens), [
				...set(within, together(orLanes, [load16(get(rows)), ...OTHERS.map(above)])),
				...set(label, load16(get(labels))),
				...store16(get(into), andLanes(withoutLanes(get(label), get(within)), lookUpBytes(get(table), get(label)))),
				...[rows, labels, into].flatMap((address) => increase(address, whole(16))),
			]),
		];
	},
};
