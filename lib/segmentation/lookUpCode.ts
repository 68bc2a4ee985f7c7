import { loadByte, loadShort, storeByte } from './wasmBytes';
import { get, increase, repeat, type WasmFunction, whole } from './wasmCode';

/** Entries of a table, which lies at the memory's start. */
export const MOST_PLACES = 65_536;
/** Pixels looked up in a turn. */
export const AT_ONCE = 8;

/** Bytes of a table by places of 16 bits: `lookUpPlaces(places, into, eights)`. */
export const lookUpPlaces: WasmFunction = {
	name: 'lookUpPlaces',
	parameters: ['i32', 'i32', 'i32'],
	body: (locals) => {
		const [places, into, eights] = [0, 1, 2] as const;
		return repeat(locals, get(eights), [
			...Array.from({ length: AT_ONCE }, (_, k) =>
				storeByte(get(into), loadByte(loadShort(get(places), 2 * k)), k),
			).flat(),
			...increase(places, whole(2 * AT_ONCE)),
			...increase(into, whole(AT_ONCE)),
		]);
	},
};
