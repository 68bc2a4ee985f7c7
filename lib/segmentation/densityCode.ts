import {
	anyLane,
	atMostPairs,
	largerPairs,
	load16,
	loadBoth,
	loadWord,
	minusPairs,
	mixedBytes,
	nearestPairs,
	pair,
	plusLongs,
	plusPairs,
	shiftLongs,
	smallerPairs,
	store8,
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
 * Log densities of colours at places, two colours at a time: `colourLogs(places, pairs, cielab, colours, into, largest)`.
 *
 * Three numbers a place; `ELLIPSOID` pairs of numbers for each two colours. Writes a number a colour and place, and the largest of each place's
 * even and odd colours. All numbers are 64-bit floats.
 */
export const colourLogs: WasmFunction = {
	name: 'colourLogs',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [places, pairs, cielab, colours, into, largest] = [0, 1, 2, 3, 4, 5] as const;
		const [L, a, b, x, y, z, most, log] = some(locals, 8);
		const colour = locals.i32();
		return repeat(locals, get(places), [
			...[L, a, b].flatMap((value, k) => set(value, loadBoth(get(cielab), 8 * k))),
			...set(most, pair(Number.NEGATIVE_INFINITY)),
			...set(colour, get(colours)),
			...repeat(locals, get(pairs), [
				...set(log, squaredDistance(colour, [L, a, b], [x, y, z])),
				...set(log, timesPairs(pair(-0.5), plusPairs(get(log), load16(get(colour), 9 * PAIR)))),
				...set(most, largerPairs(get(most), get(log))),
				...store16(get(into), get(log)),
				...increase(colour, whole(PAIR * ELLIPSOID)),
				...increase(into, whole(PAIR)),
			]),
			...store16(get(largest), get(most)),
			...increase(cielab, whole(24)),
			...increase(largest, whole(PAIR)),
		]);
	},
};

/**
 * Squared distance of a place from two colours, in their standard deviations.
 *
 * @param colour - local with the address of the two colours' numbers
 * @param place - locals with the place's L, a and b, twice each
 * @param apart - locals that are free
 */
function squaredDistance(
	colour: number,
	[L, a, b]: readonly [number, number, number],
	[x, y, z]: readonly [number, number, number],
): Code {
	const number = (k: number): Code => load16(get(colour), PAIR * k);
	const twice = (value: Code): Code => timesPairs(pair(2), value);
	return [
		...set(x, minusPairs(get(L), number(0))),
		...set(y, minusPairs(get(a), number(1))),
		...set(z, minusPairs(get(b), number(2))),
		// in the order of `logsAt` of colourDensities.ts, so that no bit differs
		...plusPairs(
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
	];
}

/** Numbers a colour with its weight behind them. */
export const WEIGHTED = ELLIPSOID + 1;

/**
 * Densities of classes at places: `classSums(places, classes, cielab, colours, counts, farthest, into, near)`.
 *
 * Three numbers a place; `WEIGHTED` pairs of numbers for each two colours of a class, class by class; how many pairs each class has, one at least,
 * as 32-bit whole numbers; the squared distance up to which a colour is near, twice. Writes the weighted densities of each class at each place,
 * summed, behind them the largest density of any colour, and 1 where any is near. Other numbers are 64-bit floats.
 */
export const classSums: WasmFunction = {
	name: 'classSums',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [places, classes, cielab, colours, counts, farthest, into, near] = [0, 1, 2, 3, 4, 5, 6, 7] as const;
		const [L, a, b, x, y, z, squared, most, nearest, sum] = some(locals, 10);
		const [colour, count] = some(locals, 2, 'i32');
		return repeat(locals, get(places), [
			...[L, a, b].flatMap((value, k) => set(value, loadBoth(get(cielab), 8 * k))),
			...set(most, pair(Number.NEGATIVE_INFINITY)),
			...set(nearest, pair(Number.POSITIVE_INFINITY)),
			...set(colour, get(colours)),
			...set(count, get(counts)),
			...repeat(locals, get(classes), [
				...set(sum, pair(0)),
				...repeat(locals, loadWord(get(count)), [
					...set(squared, squaredDistance(colour, [L, a, b], [x, y, z])),
					...set(nearest, smallerPairs(get(nearest), get(squared))),
					...set(squared, timesPairs(pair(-0.5), plusPairs(get(squared), load16(get(colour), 9 * PAIR)))),
					...set(most, largerPairs(get(most), get(squared))),
					...set(sum, plusPairs(get(sum), timesPairs(load16(get(colour), 10 * PAIR), powerOfE(squared, [x, y])))),
					...increase(colour, whole(PAIR * WEIGHTED)),
				]),
				...store8(get(into), plusPairs(get(sum), swapped(sum))),
				...increase(into, whole(8)),
				...increase(count, whole(4)),
			]),
			...set(most, largerPairs(get(most), swapped(most))),
			...store8(get(into), powerOfE(most, [x, y])),
			...increase(into, whole(8)),
			...storeByte(get(near), anyLane(atMostPairs(get(nearest), load16(get(farthest))))),
			...increase(cielab, whole(24)),
			...increase(near, whole(1)),
		]);
	},
};

/** A pair with its halves changed over. */
function swapped(local: number): Code {
	return mixedBytes(get(local), get(local), [8, 9, 10, 11, 12, 13, 14, 15, 0, 1, 2, 3, 4, 5, 6, 7]);
}

/** Below it, powers of e are taken as this one's, so that they stay above the smallest floats. */
const LEAST_POWER = -700;
/** The logarithm of 2 in two parts: the first times a whole number of three digits is exact. */
const [LN2_UPPER, LN2_LOWER] = [0.6931471803691238, 1.9082149292705877e-10] as const;
/** Added to a whole number it stands in the lowest bits of the float. */
const WHOLE_IN_LOWEST = 1.5 * 2 ** 52;
/** Highest power in the series within half a logarithm of 2 of nought: the next ones add less than 1e-14. */
const HIGHEST = 11;

/**
 * Powers of e of two numbers no larger than 700, to 1e-14; the numbers' local is used up.
 *
 * @param free - locals
 * @source 2 to the nearest whole number times the series of what is left (J. Muller, Elementary Functions, 2016, from memory), whose terms are
 *   put together by twos and fours, so that few wait for others (G. Estrin, 1960, from memory)
 */
function powerOfE(local: number, [step, square]: readonly [number, number]): Code {
	const term = (k: number): Code => pair(1 / factorial(k));
	const two = (k: number): Code => plusPairs(term(k), timesPairs(term(k + 1), get(local)));
	const four = (k: number): Code => plusPairs(two(k), timesPairs(two(k + 2), get(square)));
	const fourth = timesPairs(get(square), get(square));
	let series = four(HIGHEST - 3);
	for (let k = HIGHEST - 7; k >= 0; k -= 4) series = plusPairs(four(k), timesPairs(series, fourth));
	return [
		...set(local, largerPairs(get(local), pair(LEAST_POWER))),
		...set(step, nearestPairs(timesPairs(get(local), pair(Math.LOG2E)))),
		...set(local, minusPairs(get(local), timesPairs(get(step), pair(LN2_UPPER)))),
		...set(local, minusPairs(get(local), timesPairs(get(step), pair(LN2_LOWER)))),
		...set(square, timesPairs(get(local), get(local))),
		...plusLongs(series, shiftLongs(plusPairs(get(step), pair(WHOLE_IN_LOWEST)), 52)),
	];
}

function factorial(n: number): number {
	return n < 2 ? 1 : n * factorial(n - 1);
}
