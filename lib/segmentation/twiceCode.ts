import { load16, mixedBytes, store16 } from './wasmBytes';
import { get, increase, repeat, set, type WasmFunction, whole } from './wasmCode';

const EIGHT = Array.from({ length: 16 }, (_, byte) => byte >> 1);

/** Each byte twice: `eachTwice(from, into, sixteens)`. */
export const eachTwice: WasmFunction = {
	name: 'eachTwice',
	parameters: ['i32', 'i32', 'i32'],
	body: (locals) => {
		const [from, into, sixteens] = [0, 1, 2] as const;
		const bytes = locals.f32x4();
		return repeat(locals, get(sixteens), [
			...set(bytes, load16(get(from))),
			...store16(get(into), mixedBytes(get(bytes), get(bytes), EIGHT)),
			...store16(
				get(into),
				mixedBytes(
					get(bytes),
					get(bytes),
					EIGHT.map((byte) => byte + 8),
				),
				16,
			),
			...increase(from, whole(16)),
			...increase(into, whole(32)),
		]);
	},
};
