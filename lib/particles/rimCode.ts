import {
	andLanes,
	bytes16,
	equalBytes,
	load16,
	orLanes,
	plusBytes,
	store16,
	unequalBytes,
} from '../segmentation/wasmBytes';
import { get, increase, plus, repeat, set, some, times, type WasmFunction, whole } from '../segmentation/wasmCode';

/** What a pixel's byte says: how many of its four sides border another label, how many of its four corners, and whether it joins a thick part of its own. */
export const SIDES = 7;
export const CORNERS_FROM_BIT = 3;
export const CORNERS = 7;
export const JOINS_FROM_BIT = 6;

/**
 * Borders of one row's pixels, sixteen at a time: `rims(labels, thin, into, stride, sixteens)`. Rows lie `stride` bytes apart; `thin` has 0 where a part is thick.
 */
export const rims: WasmFunction = {
	name: 'rims',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, thin, into, stride, sixteens] = [0, 1, 2, 3, 4] as const;
		const [own, theirs, sum, joins] = some(locals, 4);
		const [line, thinLine] = some(locals, 2, 'i32');
		const neighbour = (dy: number, dx: number) => [
			...set(theirs, load16(plus(get(line), whole(dx)))),
			...set(
				sum,
				plusBytes(
					get(sum),
					andLanes(unequalBytes(get(theirs), get(own)), bytes16(dy !== 0 && dx !== 0 ? 1 << CORNERS_FROM_BIT : 1)),
				),
			),
			...set(
				joins,
				orLanes(
					get(joins),
					andLanes(equalBytes(get(theirs), get(own)), equalBytes(load16(plus(get(thinLine), whole(dx))), bytes16(0))),
				),
			),
		];
		return repeat(locals, get(sixteens), [
			...set(own, load16(get(labels))),
			...set(sum, bytes16(0)),
			...set(joins, bytes16(0)),
			...[-1, 0, 1].flatMap((dy) => [
				...set(line, plus(get(labels), times(get(stride), whole(dy)))),
				...set(thinLine, plus(get(thin), times(get(stride), whole(dy)))),
				...(dy === 0 ? [-1, 1] : [-1, 0, 1]).flatMap((dx) => neighbour(dy, dx)),
			]),
			...store16(get(into), plusBytes(get(sum), andLanes(get(joins), bytes16(1 << JOINS_FROM_BIT)))),
			...increase(labels, whole(16)),
			...increase(thin, whole(16)),
			...increase(into, whole(16)),
		]);
	},
};
