import { type WasmFunction, wasmModule } from './wasmCode';

/** Bytes of a page of WebAssembly memory. */
const PAGE = 65_536;

/** Functions on a memory of their own. */
export type Kernels<Functions> = Functions & { readonly bytes: Uint8Array<ArrayBuffer> };

/**
 * Functions written in WebAssembly, on one memory a thread.
 *
 * The module is made when it is first asked for. Nobody holds on to the memory: each use begins with what the last one left, and
 * asking for more bytes may put another object in its place.
 *
 * @returns a function that gives the kernels with a memory of at least so many bytes; undefined where there is no WebAssembly with SIMD, and the
 *   caller then goes pixel by pixel
 */
export function kernelsOf<Functions>(code: readonly WasmFunction[]): (bytes: number) => Kernels<Functions> | undefined {
	let made: { readonly memory: WebAssembly.Memory; readonly functions: Functions } | null | undefined;
	const make = () => {
		try {
			const memory = new WebAssembly.Memory({ initial: 1 });
			const { exports } = new WebAssembly.Instance(new WebAssembly.Module(wasmModule(code)), { host: { memory } });
			return { memory, functions: exports as unknown as Functions }; // what the code says
		} catch {
			return null;
		}
	};
	return (bytes) => {
		if (made === undefined) made = make();
		if (made === null) return undefined;
		const missing = bytes - made.memory.buffer.byteLength;
		if (missing > 0) made.memory.grow(Math.ceil(missing / PAGE));
		return { ...made.functions, bytes: new Uint8Array(made.memory.buffer) };
	};
}
