import {
	andLanes,
	anyLane,
	aslong,
	atLeastShorts,
	bytes16,
	either,
	equalBytes,
	equalShorts,
	floatsOf,
	largerShorts,
	less,
	load16,
	loadWide8,
	loadWord,
	lowerShorts,
	lowerWords,
	minus,
	minusFullShorts,
	narrowWords,
	orLanes,
	plusBytes,
	plusFullShorts,
	rootFloats,
	shorts8,
	smallerBytes,
	smallerShorts,
	spreadShort,
	store16,
	storeWord,
	timesShorts,
	upperShorts,
	upperWords,
	wordsOf,
} from '../segmentation/wasmBytes';
import {
	and,
	type Code,
	constant4,
	get,
	increase,
	plus,
	plus4,
	repeat,
	set,
	some,
	times,
	times4,
	type WasmFunction,
	when,
	whole,
} from '../segmentation/wasmCode';

/** Distances below this, pixels, are exact here. */
export const REACH = 250;
/** Distances are kept in these parts of a pixel. */
export const PARTS = 128;
/** Squares from here on may be those of a distance cut off. */
const FAR_SQUARE = (REACH - 1) ** 2;

export const column: WasmFunction = {
	name: 'column',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, before, known, into, least, sixteens] = [0, 1, 2, 3, 4, 5] as const;
		const next = locals.f32x4();
		return repeat(locals, get(sixteens), [
			// one further than the row before where the label goes on, else 1
			...set(
				next,
				plusBytes(andLanes(load16(get(known)), equalBytes(load16(get(labels)), load16(get(before)))), bytes16(1)),
			),
			...store16(get(into), smallerBytes(get(next), load16(get(least)))),
			...[labels, before, known, into, least].flatMap((at) => increase(at, whole(16))),
		]);
	},
};

export const square: WasmFunction = {
	name: 'square',
	parameters: ['i32', 'i32', 'i32'],
	body: (locals) => {
		const [row, into, sixteens] = [0, 1, 2] as const;
		const bytes = locals.f32x4();
		const part = (shorts: (bytes: Code) => Code, offset: number) =>
			store16(get(into), timesShorts(shorts(get(bytes)), shorts(get(bytes))), offset);
		return repeat(locals, get(sixteens), [
			...set(bytes, load16(get(row))),
			...part(lowerShorts, 0),
			...part(upperShorts, 16),
			...increase(row, whole(16)),
			...increase(into, whole(32)),
		]);
	},
};

export const across: WasmFunction = {
	name: 'across',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, squares, into, eights, far] = [0, 1, 2, 3, 4] as const;
		const [own, nearest, beside, reached, outer] = some(locals, 5);
		const [k, back] = some(locals, 2, 'i32');
		// what a pixel k away says: k squared, and its own square on top where the label is the same
		const look = (label: Code, square: Code): Code =>
			set(
				nearest,
				smallerShorts(
					get(nearest),
					plusFullShorts(andLanes(load16(square), equalShorts(loadWide8(label), get(own))), get(beside)),
				),
			);
		const root = (words: (shorts: Code) => Code): Code =>
			wordsOf(plus4(times4(rootFloats(floatsOf(words(get(nearest)))), constant4(PARTS)), constant4(0.5)));
		return [
			...set(outer, shorts8(0)),
			...repeat(locals, get(eights), [
				...set(own, loadWide8(get(labels))),
				// ones where there is a label
				...set(reached, largerShorts(get(own), shorts8(0))),
				...when(anyLane(get(reached)), [
					...set(nearest, andLanes(load16(get(squares)), get(reached))),
					...set(k, whole(1)),
					...set(beside, shorts8(1)),
					...aslong(and(anyLane(minusFullShorts(get(nearest), get(beside))), less(get(k), whole(REACH))), [
						...set(back, minus(get(labels), get(k))),
						...look(plus(get(labels), get(k)), plus(get(squares), plus(get(k), get(k)))),
						...look(get(back), minus(get(squares), plus(get(k), get(k)))),
						...increase(k, whole(1)),
						...set(beside, spreadShort(times(get(k), get(k)))),
					]),
					...set(nearest, andLanes(get(nearest), get(reached))),
					...set(outer, orLanes(get(outer), atLeastShorts(get(nearest), shorts8(FAR_SQUARE)))),
					...store16(get(into), narrowWords(root(lowerWords), root(upperWords))),
				]),
				...increase(labels, whole(8)),
				...increase(squares, whole(16)),
				...increase(into, whole(16)),
			]),
			...storeWord(get(far), either(loadWord(get(far)), anyLane(get(outer)))),
		];
	},
};
