import {
	aslong,
	either,
	equal,
	isZero,
	less,
	load16,
	loadByte,
	loadWord,
	lowestOne,
	minus,
	orLanes,
	shiftLeft,
	storeByte,
	storeWord,
	topBits,
	unequal,
	unequalBytes,
	withoutLowest,
} from './wasmBytes';
import { and, type Code, get, increase, plus, set, some, times, type WasmFunction, when, whole } from './wasmCode';

/**
 * Cut one row of labels into runs where the label or what lies `inside` changes; pixels count where `inside` is not 0.
 *
 * Reads sixteen bytes at a time, from one before the row to fifteen behind it. `counter` holds how many runs there are already.
 */
export const cutRow: WasmFunction = {
	name: 'cutRow',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, inside, width, base, starts, ends, kinds, counter] = [0, 1, 2, 3, 4, 5, 6, 7] as const;
		const [at, bits, place, run, open] = some(locals, 5, 'i32');
		const changes = (row: number): Code =>
			unequalBytes(load16(plus(get(row), get(at))), load16(minus(plus(get(row), get(at)), whole(1))));
		const word = (list: number): Code => plus(get(list), times(get(run), whole(4)));
		const close = (end: Code): Code => [...storeWord(word(ends), end), ...increase(run, get(open))];
		return [
			...set(run, loadWord(get(counter))),
			...set(at, whole(0)),
			...set(open, whole(0)),
			...aslong(less(get(at), get(width)), [
				...set(bits, topBits(orLanes(changes(labels), changes(inside)))),
				// the row begins anew
				...set(bits, either(get(bits), isZero(get(at)))),
				...when(
					less(minus(get(width), get(at)), whole(16)),
					set(bits, and(get(bits), minus(shiftLeft(whole(1), minus(get(width), get(at))), whole(1)))),
				),
				...aslong(get(bits), [
					...set(place, plus(get(at), lowestOne(get(bits)))),
					...set(bits, withoutLowest(get(bits))),
					...close(plus(get(base), get(place))),
					...set(open, unequal(loadByte(plus(get(inside), get(place))), whole(0))),
					...storeWord(word(starts), plus(get(base), get(place))),
					...storeByte(plus(get(kinds), get(run)), loadByte(plus(get(labels), get(place)))),
				]),
				...increase(at, whole(16)),
			]),
			...when(equal(get(open), whole(1)), close(plus(get(base), get(width)))),
			...storeWord(get(counter), get(run)),
		];
	},
};
