/** WebAssembly instructions as bytes; whoever puts them together puts operands before the instruction that takes them. */
export type Code = readonly number[];

/** A function of a module: its parameters are locals 0, 1, ... in order. */
export interface WasmFunction {
	readonly name: string;
	readonly parameters: readonly ('i32' | 'f32')[];
	readonly body: (locals: Locals) => Code;
}

/** Hands out a function's further locals. */
export class Locals {
	readonly types: number[] = [];
	constructor(private readonly parameters: number) {}
	i32(): number {
		return this.next(I32);
	}
	/** A 64-bit float. */
	f64(): number {
		return this.next(F64);
	}
	/** Four 32-bit floats. */
	f32x4(): number {
		return this.next(V128);
	}
	private next(type: number): number {
		this.types.push(type);
		return this.parameters + this.types.length - 1;
	}
}

const I32 = 0x7f;
const F32 = 0x7d;
const F64 = 0x7c;
const V128 = 0x7b;
const VOID = 0x40;
/** Pages of a memory at most. */
const MOST_PAGES = 65_536;

/**
 * Bytes of a module with these functions, all exported, on a memory imported as `host.memory`.
 *
 * @param isShared - the memory is one that threads share
 * @source WebAssembly Core Specification 2.0, chapter 5 (binary format)
 */
export function wasmModule(functions: readonly WasmFunction[], isShared = false): Uint8Array<ArrayBuffer> {
	const types = functions.map(({ parameters }) => [
		0x60,
		...list(parameters.map((type) => [type === 'i32' ? I32 : F32])),
		...list([]),
	]);
	const limits = isShared ? [0x03, ...unsigned(1), ...unsigned(MOST_PAGES)] : [0x00, ...unsigned(1)];
	const memory = [...text('host'), ...text('memory'), 0x02, ...limits];
	const bodies = functions.map(({ parameters, body }) => {
		const locals = new Locals(parameters.length);
		const code = [...body(locals), 0x0b];
		const declared = list(locals.types.map((type) => [1, type]));
		return [...unsigned(declared.length + code.length), ...declared, ...code];
	});
	return Uint8Array.from([
		...[0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00],
		...section(1, list(types)),
		...section(2, list([memory])),
		...section(3, list(functions.map((_, i) => unsigned(i)))),
		...section(7, list(functions.map(({ name }, i) => [...text(name), 0x00, ...unsigned(i)]))),
		...section(10, list(bodies)),
	]);
}

function section(id: number, content: Code): Code {
	return [id, ...unsigned(content.length), ...content];
}

function list(items: readonly Code[]): Code {
	return [...unsigned(items.length), ...items.flat()];
}

function text(words: string): Code {
	return list(Array.from(words, (letter) => [letter.charCodeAt(0)]));
}

/** LEB128 */
function unsigned(value: number): Code {
	return value < 0x80 ? [value] : [(value & 0x7f) | 0x80, ...unsigned(value >>> 7)];
}

function signed(value: number): Code {
	return value >= -0x40 && value < 0x40 ? [value & 0x7f] : [(value & 0x7f) | 0x80, ...signed(value >> 7)];
}

export const get = (local: number): Code => [0x20, ...unsigned(local)];
export const set = (local: number, value: Code): Code => [...value, 0x21, ...unsigned(local)];
export const whole = (value: number): Code => [0x41, ...signed(value)];
export const plus = (a: Code, b: Code): Code => [...a, ...b, 0x6a];
export const times = (a: Code, b: Code): Code => [...a, ...b, 0x6c];
export const and = (a: Code, b: Code): Code => [...a, ...b, 0x71];
export const shiftRight = (a: Code, bits: number): Code => [...a, ...whole(bits), 0x76];
export const increase = (local: number, by: Code): Code => set(local, plus(get(local), by));

/** Run a body `count` times, at least once. */
export function repeat(locals: Locals, count: Code, body: Code): Code {
	const left = locals.i32();
	return [
		...set(left, count),
		...[0x03, VOID],
		...body,
		...[...plus(get(left), whole(-1)), 0x22, ...unsigned(left)],
		...[0x0d, 0x00],
		0x0b,
	];
}

/** Run a body where a number is not 0. */
export const when = (condition: Code, body: Code): Code => [...condition, 0x04, VOID, ...body, 0x0b];

const simd = (instruction: number): Code => [0xfd, ...unsigned(instruction)];
export const load4 = (address: Code, offset = 0): Code => [...address, ...simd(0x00), 2, ...unsigned(offset)];
/** One number in all four places. */
export const loadAll4 = (address: Code, offset = 0): Code => [...address, ...simd(0x09), 2, ...unsigned(offset)];
export const store4 = (address: Code, value: Code, offset = 0): Code => [
	...address,
	...value,
	...simd(0x0b),
	2,
	...unsigned(offset),
];
export const spread4 = (number: Code): Code => [...number, ...simd(0x13)];
export const plus4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xe4)];
export const minus4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xe5)];
export const times4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xe6)];
/** The larger of each pair. */
export const larger4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xeb)];
/** The same number four times. */
export function constant4(value: number): Code {
	return constants4(value, value, value, value);
}
export function constants4(...four: readonly [number, number, number, number]): Code {
	return [...simd(0x0c), ...new Uint8Array(Float32Array.from(four).buffer)];
}

export const divided4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xe7)];
export const root4 = (a: Code): Code => [...a, ...simd(0xe3)];
/** Each place gets what stands `by` places further on, round the end. */
export const turned4 = (a: Code, b: Code, by: 1 | 2): Code => [
	...a,
	...b,
	...simd(0x0d),
	...Array.from({ length: 16 }, (_, byte) => (byte + 4 * by) % 16),
];
/** Whole numbers of 32 bits. */
export const plusWhole4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xae)];
export const minusWhole4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xb1)];
export const shifted4 = (a: Code, bits: number): Code => [...a, ...whole(bits), ...simd(0xab)];
/** Eight products of whole numbers of 16 bits, summed by twos. */
export const pairs4 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0xba)];
/** Four whole numbers of 32 bits and four more as eight of 16 bits. */
export const shortened8 = (a: Code, b: Code): Code => [...a, ...b, ...simd(0x85)];
/** Floats of whole numbers of 32 bits. */
export const floats4 = (a: Code): Code => [...a, ...simd(0xfa)];
/** Keep the first four, or the first eight, bytes. */
export const store32 = (address: Code, value: Code): Code => [...address, ...value, ...simd(0x5a), 2, 0, 0];
export const store64 = (address: Code, value: Code): Code => [...address, ...value, ...simd(0x5b), 3, 0, 0];

/** As many numbers as `Count` says, where it is known beforehand. */
type Numbers<Count extends number, Known extends number[] = []> = number extends Count
	? number[]
	: Known['length'] extends Count
		? Known
		: Numbers<Count, [...Known, number]>;

/** Several locals of one kind. */
export function some<Count extends number>(
	locals: Locals,
	count: Count,
	type: 'f32x4' | 'i32' | 'f64' = 'f32x4',
): Numbers<Count> {
	return Array.from({ length: count }, () => locals[type]()) as Numbers<Count>; // so many are made
}
