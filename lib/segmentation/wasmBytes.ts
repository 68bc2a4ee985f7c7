import { type Code, whole } from './wasmCode';

/** Instructions on whole numbers, bytes and short lanes, beside the floats of wasmCode.ts; opcodes are those of the specification. */

const VOID = 0x40;

/** LEB128 of an offset or an opcode. */
function unsigned(value: number): Code {
	return value < 0x80 ? [value] : [(value & 0x7f) | 0x80, ...unsigned(value >>> 7)];
}

const fromMemory =
	(opcode: number) =>
	(address: Code, offset = 0): Code => [...address, opcode, 0, ...unsigned(offset)];
const intoMemory =
	(opcode: number) =>
	(address: Code, value: Code, offset = 0): Code => [...address, ...value, opcode, 0, ...unsigned(offset)];
const ofTwo =
	(opcode: number) =>
	(a: Code, b: Code): Code => [...a, ...b, opcode];

export const loadWord = fromMemory(0x28);
export const loadFloat = fromMemory(0x2a);
export const loadByte = fromMemory(0x2d);
export const loadSignedByte = fromMemory(0x2c);
export const loadShort = fromMemory(0x2f);
export const storeWord = intoMemory(0x36);
export const storeByte = intoMemory(0x3a);
export const storeShort = intoMemory(0x3b);
export const storeFloat = intoMemory(0x38);

export const isZero = (a: Code): Code => [...a, 0x45];
export const equal = ofTwo(0x46);
export const unequal = ofTwo(0x47);
export const less = ofTwo(0x48);
export const minus = ofTwo(0x6b);
export const either = ofTwo(0x72);
export const shiftLeft = ofTwo(0x74);
/** Place of the lowest 1. */
export const lowestOne = (a: Code): Code => [...a, 0x68];
/** The number without its lowest 1. */
export const withoutLowest = (a: Code): Code => [...a, ...minus(a, whole(1)), 0x71];

/** A 32-bit float. */
export const float = (value: number): Code => [0x43, ...new Uint8Array(Float32Array.of(value).buffer)];
export const toFloat = (a: Code): Code => [...a, 0xb3];
export const plusFloat = ofTwo(0x92);
export const timesFloat = ofTwo(0x94);
export const minusFloat = ofTwo(0x93);
export const smallerFloat = ofTwo(0x96);

/** A 64-bit float. */
export const loadDouble = fromMemory(0x2b);
export const storeDouble = intoMemory(0x39);
export const plusDouble = ofTwo(0xa0);
export const minusDouble = ofTwo(0xa1);
export const timesDouble = ofTwo(0xa2);
/** That of a 32-bit float, and of a 32-bit whole number. */
export const toDouble = (a: Code): Code => [...a, 0xbb];
export const wholeDouble = (a: Code): Code => [...a, 0xb7];
/** Its nearest 32-bit float. */
export const shortFloat = (a: Code): Code => [...a, 0xb6];

/** The first where the condition is not 0, else the second. */
export const select = (a: Code, b: Code, condition: Code): Code => [...a, ...b, ...condition, 0x1b];

/** Run a body as long as the condition is not 0. */
export const aslong = (condition: Code, body: Code): Code => [
	...[0x02, VOID, 0x03, VOID],
	...isZero(condition),
	...[0x0d, 1],
	...body,
	...[0x0c, 0, 0x0b, 0x0b],
];

const lanes = (opcode: number): Code => [0xfd, ...unsigned(opcode)];
const lanesOfOne =
	(opcode: number) =>
	(a: Code): Code => [...a, ...lanes(opcode)];
const lanesOfTwo =
	(opcode: number) =>
	(a: Code, b: Code): Code => [...a, ...b, ...lanes(opcode)];

/** Pairs of 64-bit floats; the same number twice, written or from memory. */
export const pair = (value: number): Code => [...lanes(0x0c), ...new Uint8Array(Float64Array.of(value, value).buffer)];
export const loadBoth = (address: Code, offset = 0): Code => [...address, ...lanes(0x0a), 0, ...unsigned(offset)];
export const plusPairs = lanesOfTwo(0xf0);
export const minusPairs = lanesOfTwo(0xf1);
export const timesPairs = lanesOfTwo(0xf2);
export const smallerPairs = lanesOfTwo(0xf4);
export const largerPairs = lanesOfTwo(0xf5);
/** Ones where the first is not above the second. */
export const atMostPairs = lanesOfTwo(0x4b);
/** The nearest whole numbers, as floats. */
export const nearestPairs = lanesOfOne(0x94);
/** Whole numbers of 64 bits: sums, and bits moved to the left. */
export const plusLongs = lanesOfTwo(0xce);
export const shiftLongs = (a: Code, bits: number): Code => [...a, ...whole(bits), ...lanes(0xcb)];

/** Sixteen bytes from or to any address. */
export const load16 = (address: Code, offset = 0): Code => [...address, ...lanes(0x00), 0, ...unsigned(offset)];
export const store16 = (address: Code, value: Code, offset = 0): Code => [
	...address,
	...value,
	...lanes(0x0b),
	0,
	...unsigned(offset),
];
/** Eight bytes as eight shorts. */
export const loadWide8 = (address: Code, offset = 0): Code => [...address, ...lanes(0x02), 0, ...unsigned(offset)];
/** The lower eight bytes. */
export const store8 = (address: Code, value: Code, offset = 0): Code => [
	...address,
	...value,
	...lanes(0x5b),
	0,
	...unsigned(offset),
	0,
];

/** One byte sixteen times, one short eight times. */
export const bytes16 = (value: number): Code => [...lanes(0x0c), ...Array.from({ length: 16 }, () => value)];
export const shorts8 = (value: number): Code => [
	...lanes(0x0c),
	...new Uint8Array(Uint16Array.from({ length: 8 }, () => value).buffer),
];
export const spreadByte = lanesOfOne(0x0f);
export const spreadShort = lanesOfOne(0x10);

export const andLanes = lanesOfTwo(0x4e);
/** Those of the first that are not in the second. */
export const withoutLanes = lanesOfTwo(0x4f);
export const orLanes = lanesOfTwo(0x50);
/** The first where the mask has ones, the second elsewhere. */
export const choose = (a: Code, b: Code, mask: Code): Code => [...a, ...b, ...mask, ...lanes(0x52)];
/** Whether any bit is set. */
export const anyLane = lanesOfOne(0x53);

/** For each byte of the second the byte of the first that it counts to; 0 past the end. */
export const lookUpBytes = lanesOfTwo(0x0e);
export const equalBytes = lanesOfTwo(0x23);
export const unequalBytes = lanesOfTwo(0x24);
/** One bit a byte: its topmost. */
export const topBits = lanesOfOne(0x64);
/** Sums that stop at 255. */
export const plusBytes = lanesOfTwo(0x70);
export const smallerBytes = lanesOfTwo(0x77);
/** Ones in each lane of four floats where the first is less. */
export const lessFloats = lanesOfTwo(0x43);
/** Lanes of ones and of zeros, half as wide. */
export const narrowMask4 = lanesOfTwo(0x85);
export const narrowMask8 = lanesOfTwo(0x65);
/** Sixteen bytes of two times eight shorts that fit. */
export const narrowShorts = lanesOfTwo(0x66);

export const lowerShorts = lanesOfOne(0x89);
export const upperShorts = lanesOfOne(0x8a);
export const equalShorts = lanesOfTwo(0x2d);
export const largerShorts = lanesOfTwo(0x31);
export const atLeastShorts = lanesOfTwo(0x36);
/** Product of fractions of 32768, rounded. */
export const timesFractions = lanesOfTwo(0x82);
export const plusShorts = lanesOfTwo(0x8e);
/** Sums that stop at 65535, differences that stop at 0. */
export const plusFullShorts = lanesOfTwo(0x90);
export const minusFullShorts = lanesOfTwo(0x93);
export const minusShorts = lanesOfTwo(0x91);
export const timesShorts = lanesOfTwo(0x95);
export const smallerShorts = lanesOfTwo(0x97);
/** Means, halves rounded up. */
export const meanShorts = lanesOfTwo(0x9b);
export const shiftShorts = (a: Code, bits: number): Code => [...a, ...whole(bits), ...lanes(0x8b)];

export const lowerWords = lanesOfOne(0xa9);
export const upperWords = lanesOfOne(0xaa);
/** Eight shorts of two times four words that fit. */
export const narrowWords = lanesOfTwo(0x86);
export const floatsOf = lanesOfOne(0xfb);
export const rootFloats = lanesOfOne(0xe3);
/** Nearest to 0. */
export const wordsOf = lanesOfOne(0xf9);
export const smaller4 = lanesOfTwo(0xe8);
/** One of four lanes. */
export const extractWord = (a: Code, lane: number): Code => [...a, ...lanes(0x1b), lane];
export const extractFloat = (a: Code, lane: number): Code => [...a, ...lanes(0x1f), lane];
/** Any sixteen of two vectors' bytes, by number. */
export const mixedBytes = (a: Code, b: Code, places: readonly number[]): Code => [
	...a,
	...b,
	...lanes(0x0d),
	...places,
];
