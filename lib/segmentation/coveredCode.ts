import {
	loadByte,
	loadFloat,
	loadWord,
	minus,
	plusDouble,
	storeDouble,
	timesDouble,
	toDouble,
	wholeDouble,
} from './wasmBytes';
import { get, increase, plus, repeat, set, type WasmFunction, whole } from './wasmCode';

/**
 * Add up runs of pixels: `coveredSums(starts, ends, runs, cover, widths, areas, widthAreas)`.
 *
 * Reads where each run begins and ends as 32-bit whole numbers, a byte a pixel from `cover` on and, one run's after the other's, 32-bit floats; writes
 * the bytes' sum and that of bytes times floats of each run, as 64-bit floats.
 */
export const coveredSums: WasmFunction = {
	name: 'coveredSums',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [starts, ends, runs, cover, widths, areas, widthAreas] = [0, 1, 2, 3, 4, 5, 6] as const;
		const [at, byte, area] = [locals.i32(), locals.i32(), locals.i32()];
		const widthArea = locals.f64();
		return repeat(locals, get(runs), [
			...set(at, plus(get(cover), loadWord(get(starts)))),
			...set(area, whole(0)),
			...set(widthArea, wholeDouble(whole(0))),
			...repeat(locals, minus(loadWord(get(ends)), loadWord(get(starts))), [
				...set(byte, loadByte(get(at))),
				...set(area, plus(get(area), get(byte))),
				...set(
					widthArea,
					plusDouble(get(widthArea), timesDouble(wholeDouble(get(byte)), toDouble(loadFloat(get(widths))))),
				),
				...increase(at, whole(1)),
				...increase(widths, whole(4)),
			]),
			...storeDouble(get(areas), wholeDouble(get(area))),
			...storeDouble(get(widthAreas), get(widthArea)),
			...increase(starts, whole(4)),
			...increase(ends, whole(4)),
			...increase(areas, whole(8)),
			...increase(widthAreas, whole(8)),
		]);
	},
};
