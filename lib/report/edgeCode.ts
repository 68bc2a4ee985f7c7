import {
	andLanes,
	bytes16,
	equalBytes,
	load16,
	lookUpBytes,
	mixedBytes,
	orLanes,
	smallerBytes,
	store16,
} from '../segmentation/wasmBytes';
import { type Code, get, increase, repeat, set, some, type WasmFunction, whole } from '../segmentation/wasmCode';

/** Codes that have a colour of their own; higher ones share the last. */
export const COLOURED_CODES = 16;
/** Pixels worked on at once. */
export const AT_ONCE = 16;

const BYTES = Array.from({ length: AT_ONCE }, (_, k) => k);
/** Bytes of two vectors in turn, `size` together, from the `from`-th on. */
const inTurn = (size: number, from: number) =>
	BYTES.map((k) => from + size * Math.floor(k / (2 * size)) + (k % size) + (k % (2 * size) < size ? 0 : AT_ONCE));

/**
 * One row of the edges of labels, four bytes a pixel: a colour where a label differs from that to its left, right, above or below, else clear:
 * `edgeRow(above, own, below, into, sixteens, colours)`.
 *
 * Rows are given from one byte before their first pixel on and read to one behind the last of the sixteens. `colours` holds the red of all codes, then
 * green, blue and how opaque.
 */
export const edgeRow: WasmFunction = {
	name: 'edgeRow',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [above, own, below, into, sixteens, colours] = [0, 1, 2, 3, 4, 5] as const;
		const [label, place] = some(locals, 2);
		const channels = some(locals, 4);
		const [redGreen, blueAlpha] = some(locals, 2);
		const isSame = (other: Code) => equalBytes(get(label), other);
		const alike = [load16(get(own)), load16(get(own), 2), load16(get(above), 1), load16(get(below), 1)].map(isSame);
		return repeat(locals, get(sixteens), [
			...set(label, load16(get(own), 1)),
			// a place past the end of the colours is clear
			...set(place, orLanes(smallerBytes(get(label), bytes16(COLOURED_CODES - 1)), alike.reduce(andLanes))),
			...channels.flatMap((channel, c) =>
				set(channel, lookUpBytes(load16(get(colours), COLOURED_CODES * c), get(place))),
			),
			...[0, 8].flatMap((half) => [
				...set(redGreen, mixedBytes(get(channels[0]!), get(channels[1]!), inTurn(1, half))),
				...set(blueAlpha, mixedBytes(get(channels[2]!), get(channels[3]!), inTurn(1, half))),
				...store16(get(into), mixedBytes(get(redGreen), get(blueAlpha), inTurn(2, 0)), 4 * half),
				...store16(get(into), mixedBytes(get(redGreen), get(blueAlpha), inTurn(2, 8)), 4 * half + AT_ONCE),
			]),
			...[above, own, below].flatMap((row) => increase(row, whole(AT_ONCE))),
			...increase(into, whole(4 * AT_ONCE)),
		]);
	},
};
