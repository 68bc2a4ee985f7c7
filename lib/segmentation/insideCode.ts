import { andLanes, bytes16, equalBytes, load16, spreadByte, store16 } from './wasmBytes';
import { type Code, get, increase, plus, repeat, set, times, type WasmFunction, whole } from './wasmCode';

/**
 * 1 where the pixels two rows above and below, and the three beside each other in the row above and in that below, have a label, else 0:
 * `insideOf(labels, width, into, label, sixteens)`. Rows follow one another without a margin.
 */
export const insideOf: WasmFunction = {
	name: 'insideOf',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, width, into, label, sixteens] = [0, 1, 2, 3, 4] as const;
		const [all, wanted] = [locals.f32x4(), locals.f32x4()];
		const at = (rows: number, columns: number): Code =>
			equalBytes(load16(plus(plus(get(labels), times(get(width), whole(rows))), whole(columns))), get(wanted));
		return [
			...set(wanted, spreadByte(get(label))),
			...repeat(locals, get(sixteens), [
				...set(all, andLanes(at(-2, 0), at(2, 0))),
				...[-1, 1].flatMap((row) => [-1, 0, 1].flatMap((column) => set(all, andLanes(get(all), at(row, column))))),
				...store16(get(into), andLanes(get(all), bytes16(1))),
				...increase(labels, whole(16)),
				...increase(into, whole(16)),
			]),
		];
	},
};
