import { aslong, equal, less, loadByte, loadWord, minus, shiftLeft, storeWord, unequal } from './wasmBytes';
import {
	and,
	type Code,
	get,
	increase,
	plus,
	repeat,
	set,
	shiftRight,
	some,
	type WasmFunction,
	when,
	whole,
} from './wasmCode';

/** Bytes of a 32-bit whole number: runs are counted in these. */
const WORD = 4;

/**
 * Join runs of one label that touch (labelRuns.ts): `joinRuns(starts, ends, labels, rows, height, runs, width, reach, parents, regions)`.
 *
 * `rows` says how many runs come before each row and in all, `reach` is 1 where corners count as touching. Writes what each run points to and the
 * number of its region. All numbers but labels are 32-bit whole numbers; a row and a run at least.
 */
export const joinRuns: WasmFunction = {
	name: 'joinRuns',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [starts, ends, labels, rows, height, runs, width, reach, parents, regions] = [
			0, 1, 2, 3, 4, 5, 6, 7, 8, 9,
		] as const;
		const [run, above, past, end, k] = some(locals, 5, 'i32');
		const [from, to, root, other, count] = some(locals, 5, 'i32');
		const of = (array: number, index: number): Code => loadWord(plus(get(array), get(index)));
		const point = (index: number, at: Code): Code => storeWord(plus(get(parents), get(index)), at);
		const labelOf = (index: number): Code => loadByte(plus(get(labels), shiftRight(get(index), 2)));
		/** Where a run's pointers lead, halving the way. */
		const find = (index: number, into: number): Code => [
			...set(into, get(index)),
			...aslong(unequal(of(parents, into), get(into)), [
				...point(into, loadWord(plus(get(parents), of(parents, into)))),
				...set(into, of(parents, into)),
			]),
		];
		const join: Code = [
			...find(k, root),
			// a run that nothing has joined yet needs no search
			...when(equal(of(parents, run), get(run)), point(run, get(root))),
			...find(run, other),
			...when(less(get(root), get(other)), point(other, get(root))),
			...when(less(get(other), get(root)), point(root, get(other))),
		];
		return [
			...set(run, whole(0)),
			...repeat(locals, get(runs), [...point(run, get(run)), ...increase(run, whole(WORD))]),
			...repeat(locals, get(height), [
				// of the first row there is nothing above: its runs come before themselves
				...set(run, times4(loadWord(get(rows)))),
				...set(end, times4(loadWord(get(rows), WORD))),
				...set(past, get(run)),
				...aslong(less(get(run), get(end)), [
					...set(from, minus(minus(of(starts, run), get(width)), get(reach))),
					...set(to, plus(minus(of(ends, run), get(width)), get(reach))),
					...aslong(and(less(get(above), get(past)), atMost(of(ends, above), get(from))), increase(above, whole(WORD))),
					...set(k, get(above)),
					...aslong(and(less(get(k), get(past)), less(of(starts, k), get(to))), [
						...when(equal(labelOf(k), labelOf(run)), join),
						...increase(k, whole(WORD)),
					]),
					...increase(run, whole(WORD)),
				]),
				...set(above, get(past)),
				...increase(rows, whole(WORD)),
			]),
			...set(run, whole(0)),
			...set(count, whole(0)),
			...repeat(locals, get(runs), [
				...set(root, of(parents, run)),
				...when(equal(get(root), get(run)), [
					...increase(count, whole(1)),
					...storeWord(plus(get(regions), get(run)), get(count)),
				]),
				...when(unequal(get(root), get(run)), storeWord(plus(get(regions), get(run)), of(regions, root))),
				...increase(run, whole(WORD)),
			]),
		];
	},
};

function times4(a: Code): Code {
	return shiftLeft(a, whole(2));
}

function atMost(a: Code, b: Code): Code {
	return less(a, plus(b, whole(1)));
}
