import {
	anyLane,
	atMostPairs,
	largerPairs,
	load16,
	loadBoth,
	minusPairs,
	pair,
	plusPairs,
	smallerPairs,
	store16,
	storeByte,
	timesPairs,
} from './wasmBytes';
import { type Code, get, increase, repeat, set, some, type WasmFunction, whole } from './wasmCode';

/** Numbers a colour: its middle, the upper half of its inverse covariance and the determinant's logarithm. */
export const ELLIPSOID = 10;
/** Bytes of two 64-bit floats. */
const PAIR = 16;

/**
 * Log densities of colours at places, two colours at a time: `colourLogs(places, pairs, cielab, colours, farthest, into, largest, near)`.
 *
 * Three numbers a place; `ELLIPSOID` pairs of numbers for each two colours; the squared distance up to which a colour is near, twice. Writes a
 * number a colour and place, the largest of each place's even and odd colours, and 1 where any colour is near. All numbers are 64-bit floats.
 */
export const colourLogs: WasmFunction = {
	name: 'colourLogs',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [places, pairs, cielab, colours, farthest, into, largest, near] = [0, 1, 2, 3, 4, 5, 6, 7] as const;
		const [L, a, b, x, y, z, squared, most, nearest, log] = some(locals, 10);
		const colour = locals.i32();
		const number = (k: number): Code => load16(get(colour), PAIR * k);
		const twice = (value: Code): Code => timesPairs(pair(2), value);
		return repeat(locals, get(places), [
			...[L, a, b].flatMap((value, k) => set(value, loadBoth(get(cielab), 8 * k))),
			...set(most, pair(Number.NEGATIVE_INFINITY)),
			...set(nearest, pair(Number.POSITIVE_INFINITY)),
			...set(colour, get(colours)),
			...repeat(locals, get(pairs), [
				...set(x, minusPairs(get(L), number(0))),
				...set(y, minusPairs(get(a), number(1))),
				...set(z, minusPairs(get(b), number(2))),
				// in the order of `logsAt`, so that no bit differs
				...set(
					squared,
					plusPairs(
						plusPairs(
							timesPairs(
								get(x),
								plusPairs(
									timesPairs(number(3), get(x)),
									twice(plusPairs(timesPairs(number(4), get(y)), timesPairs(number(5), get(z)))),
								),
							),
							timesPairs(get(y), plusPairs(timesPairs(number(6), get(y)), timesPairs(twice(number(7)), get(z)))),
						),
						timesPairs(timesPairs(number(8), get(z)), get(z)),
					),
				),
				...set(nearest, smallerPairs(get(nearest), get(squared))),
				...set(log, timesPairs(pair(-0.5), plusPairs(get(squared), number(9)))),
				...set(most, largerPairs(get(most), get(log))),
				...store16(get(into), get(log)),
				...increase(colour, whole(PAIR * ELLIPSOID)),
				...increase(into, whole(PAIR)),
			]),
			...store16(get(largest), get(most)),
			...storeByte(get(near), anyLane(atMostPairs(get(nearest), load16(get(farthest))))),
			...increase(cielab, whole(24)),
			...increase(largest, whole(PAIR)),
			...increase(near, whole(1)),
		]);
	},
};
