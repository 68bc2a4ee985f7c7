import {
	andLanes,
	anyLane,
	aslong,
	choose,
	equal,
	equalShorts,
	isZero,
	largerShorts,
	load16,
	loadByte,
	loadShort,
	loadWide8,
	loadWord,
	minus,
	minusShorts,
	narrowShorts,
	select,
	shorts8,
	spreadShort,
	store8,
	storeShort,
	timesFractions,
	unequal,
	withoutLanes,
} from '../segmentation/wasmBytes';
import {
	and,
	type Code,
	get,
	increase,
	plus,
	repeat,
	set,
	some,
	times,
	type WasmFunction,
	when,
	whole,
} from '../segmentation/wasmCode';

/** Neighbours in reading order: rows and columns away. */
export const NEIGHBOURS = [
	[-1, -1],
	[-1, 0],
	[-1, 1],
	[0, -1],
	[0, 1],
	[1, -1],
	[1, 0],
	[1, 1],
] as const;
const ON_RIDGE = NEIGHBOURS.length;

export const climb: WasmFunction = {
	name: 'climb',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, distances, into, stride, eights, slope] = [0, 1, 2, 3, 4, 5] as const;
		const [own, here, rise, steepest, towards, better, least] = some(locals, 7);
		const [labelRow, distanceRow] = some(locals, 2, 'i32');
		const row = (dy: number): Code => [
			...set(labelRow, plus(get(labels), times(get(stride), whole(dy)))),
			...set(distanceRow, plus(get(distances), times(get(stride), whole(2 * dy)))),
		];
		const neighbour = (k: number): Code => {
			const [dy, dx] = NEIGHBOURS[k]!;
			const straight = minusShorts(load16(plus(get(distanceRow), whole(2 * dx))), get(here));
			return [
				...set(
					rise,
					dx !== 0 && dy !== 0 ? timesFractions(straight, shorts8(Math.round(32768 * Math.SQRT1_2))) : straight,
				),
				...set(
					better,
					andLanes(
						largerShorts(get(rise), get(steepest)),
						equalShorts(loadWide8(plus(get(labelRow), whole(dx))), get(own)),
					),
				),
				...set(steepest, choose(get(rise), get(steepest), get(better))),
				...set(towards, choose(shorts8(k), get(towards), get(better))),
			];
		};
		return [
			...set(least, spreadShort(get(slope))),
			...repeat(locals, get(eights), [
				...set(own, loadWide8(get(labels))),
				...when(anyLane(get(own)), [
					...set(here, load16(get(distances))),
					...set(steepest, get(least)),
					...set(towards, shorts8(ON_RIDGE)),
					...[-1, 0, 1].flatMap((dy) => [
						...row(dy),
						...NEIGHBOURS.flatMap(([y], k) => (y === dy ? neighbour(k) : [])),
					]),
					...store8(get(into), narrowShorts(get(towards), get(towards))),
				]),
				...increase(labels, whole(8)),
				...increase(distances, whole(16)),
				...increase(into, whole(8)),
			]),
		];
	},
};

export const settle: WasmFunction = {
	name: 'settle',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [ends, starts, begins, count, shift, turn, distances, climbs, ridges, steps] = [
			0, 1, 2, 3, 4, 5, 6, 7, 8, 9,
		] as const;
		const [at, way, known, next] = some(locals, 4, 'i32');
		const short = (plane: number, place: Code): Code => plus(get(plane), plus(place, place));
		return repeat(locals, get(count), [
			...set(at, plus(loadWord(get(begins)), get(shift))),
			// no branch within a run: which way a climb goes can't be foretold
			...repeat(locals, minus(loadWord(get(ends)), loadWord(get(starts))), [
				...set(way, loadByte(plus(get(climbs), get(at)))),
				...set(known, loadShort(short(ridges, get(at)))),
				...set(next, plus(get(at), loadWord(plus(get(steps), times(get(way), whole(4)))))),
				...set(
					next,
					select(
						loadShort(short(distances, get(at))),
						loadShort(short(ridges, get(next))),
						equal(get(way), whole(ON_RIDGE)),
					),
				),
				...storeShort(short(ridges, get(at)), select(get(known), get(next), get(known))),
				...increase(at, get(turn)),
			]),
			...[ends, starts, begins].flatMap((list) => increase(list, times(get(turn), whole(4)))),
		]);
	},
};

export const follow: WasmFunction = {
	name: 'follow',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, distances, climbs, ridges, steps, base, eights] = [0, 1, 2, 3, 4, 5, 6] as const;
		const [at, end, ridge, own] = some(locals, 4, 'i32');
		const short = (plane: number, place: number): Code => plus(get(plane), plus(get(place), get(place)));
		const stepAt = (place: number): Code =>
			loadWord(plus(get(steps), times(loadByte(plus(get(climbs), get(place))), whole(4))));
		const one: Code = when(
			and(unequal(loadByte(plus(get(labels), get(own))), whole(0)), isZero(loadShort(short(ridges, own)))),
			[
				...set(end, get(own)),
				...aslong(
					and(isZero(loadShort(short(ridges, end))), unequal(loadByte(plus(get(climbs), get(end))), whole(ON_RIDGE))),
					increase(end, stepAt(end)),
				),
				...set(ridge, loadShort(short(ridges, end))),
				...when(isZero(get(ridge)), set(ridge, loadShort(short(distances, end)))),
				...storeShort(short(ridges, end), get(ridge)),
				...set(at, get(own)),
				...aslong(unequal(get(at), get(end)), [
					...storeShort(short(ridges, at), get(ridge)),
					...increase(at, stepAt(at)),
				]),
			],
		);
		const nothing = shorts8(0);
		return repeat(locals, get(eights), [
			// few are left, and most of eight have none
			...when(
				anyLane(
					withoutLanes(
						equalShorts(load16(short(ridges, base)), nothing),
						equalShorts(loadWide8(plus(get(labels), get(base))), nothing),
					),
				),
				[...set(own, get(base)), ...repeat(locals, whole(8), [...one, ...increase(own, whole(1))])],
			),
			...increase(base, whole(8)),
		]);
	},
};
