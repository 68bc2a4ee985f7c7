import { andLanes, bytes16, equalBytes, load16, orLanes, store16, withoutLanes } from './wasmBytes';
import { type Code, get, increase, plus, repeat, set, some, times, type WasmFunction, whole } from './wasmCode';

/**
 * 1 where a pixel of a row is bare and no thick part lies beside it or at its corners, else 0: `bareApart(labels, thin, into, stride, sixteens)`.
 * Rows lie `stride` bytes apart, with zeros between them; a thick part has a label and no thin one.
 */
export const bareApart: WasmFunction = {
	name: 'bareApart',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, thin, into, stride, sixteens] = [0, 1, 2, 3, 4] as const;
		const thick = locals.f32x4();
		const [line, thinLine] = some(locals, 2, 'i32');
		const nothing = bytes16(0);
		const thickAt = (dx: number): Code =>
			withoutLanes(
				equalBytes(load16(plus(get(thinLine), whole(dx))), nothing),
				equalBytes(load16(plus(get(line), whole(dx))), nothing),
			);
		return repeat(locals, get(sixteens), [
			...set(thick, nothing),
			...[-1, 0, 1].flatMap((dy) => [
				...set(line, plus(get(labels), times(get(stride), whole(dy)))),
				...set(thinLine, plus(get(thin), times(get(stride), whole(dy)))),
				...set(thick, orLanes(get(thick), orLanes(thickAt(-1), orLanes(thickAt(0), thickAt(1))))),
			]),
			...store16(get(into), andLanes(withoutLanes(equalBytes(load16(get(labels)), nothing), get(thick)), bytes16(1))),
			...increase(labels, whole(16)),
			...increase(thin, whole(16)),
			...increase(into, whole(16)),
		]);
	},
};
