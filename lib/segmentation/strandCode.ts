import { BACKGROUND, CLASS_CODE } from '../material/classes';
import { LIGHT_TILE_PX } from './reflectanceTiles';
import {
	andLanes,
	bytes16,
	equalBytes,
	lessFloats,
	load16,
	loadByte,
	loadDouble,
	minusDouble,
	narrowMask4,
	narrowMask8,
	orLanes,
	plusDouble,
	shiftLeft,
	shortFloat,
	store16,
	storeFloat,
	timesDouble,
	unequalBytes,
	withoutLanes,
} from './wasmBytes';
import {
	type Code,
	get,
	increase,
	larger4,
	load4,
	minus4,
	plus,
	repeat,
	set,
	spread4,
	times,
	type WasmFunction,
	whole,
} from './wasmCode';

/** How far the light of a piece reaches over bare surface by lens and chroma subsampling, px: nothing is sought nearer to thick pieces. */
export const REACH_PX = 3;
/** A strand is sought against the surface this far to either side of it, px: past what the lens blurs it over. */
export const SIDE_PX = 4;
/** 64-bit numbers a square: one a channel, and the bare surface's own. */
export const FACTORS = 4;

const AROUND = Array.from({ length: 2 * REACH_PX + 1 }, (_, k) => k);

/**
 * Ones near labels that reach over the surface: `reachRow(labels, thin, into, sixteens)`.
 *
 * A label reaches `REACH_PX` to either side along the row unless it is of thin copper; both rows begin so far into a margin.
 */
export const reachRow: WasmFunction = {
	name: 'reachRow',
	parameters: ['i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [labels, thin, into, sixteens] = [0, 1, 2, 3] as const;
		const sum = locals.f32x4();
		const reaches = (k: number): Code =>
			withoutLanes(
				unequalBytes(load16(get(labels), k), bytes16(BACKGROUND)),
				equalBytes(load16(get(thin), k), bytes16(CLASS_CODE.brightCopper)),
			);
		return repeat(locals, get(sixteens), [
			...set(sum, bytes16(0)),
			...AROUND.flatMap((k) => set(sum, orLanes(get(sum), reaches(k)))),
			...store16(get(into), get(sum)),
			...[labels, thin, into].flatMap((address) => increase(address, whole(16))),
		]);
	},
};

/**
 * Ones on pixels without a label that no row of reaches around holds: `freeRow(reaches, stride, labels, into, sixteens)`; `reaches` is the uppermost
 * of the rows.
 */
export const freeRow: WasmFunction = {
	name: 'freeRow',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [rows, stride, labels, into, sixteens] = [0, 1, 2, 3, 4] as const;
		const sum = locals.f32x4();
		return repeat(locals, get(sixteens), [
			...set(sum, bytes16(0)),
			...AROUND.flatMap((k) => set(sum, orLanes(get(sum), load16(plus(get(rows), times(get(stride), whole(k))))))),
			...store16(get(into), withoutLanes(equalBytes(load16(get(labels)), bytes16(BACKGROUND)), get(sum))),
			...[rows, labels, into].flatMap((address) => increase(address, whole(16))),
		]);
	},
};

/**
 * How far pixels of a row lie from the surface towards copper: `pullRow(pixels, tables, factors, into, squares)`.
 *
 * Three bytes a pixel; `tables` are 3 x 256 64-bit numbers; each pull is a 32-bit float.
 */
export const pullRow: WasmFunction = {
	name: 'pullRow',
	parameters: ['i32', 'i32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [pixels, tables, factors, into, squares] = [0, 1, 2, 3, 4] as const;
		const factor = Array.from({ length: FACTORS }, () => locals.f64());
		const light = (c: number): Code =>
			timesDouble(
				get(factor[c]!),
				loadDouble(plus(get(tables), shiftLeft(loadByte(get(pixels), c), whole(3))), 8 * 256 * c),
			);
		return repeat(locals, get(squares), [
			...factor.flatMap((local, k) => set(local, loadDouble(get(factors), 8 * k))),
			...repeat(locals, whole(LIGHT_TILE_PX), [
				...storeFloat(
					get(into),
					shortFloat(minusDouble(plusDouble(plusDouble(light(0), light(1)), light(2)), get(factor[3]!))),
				),
				...increase(pixels, whole(3)),
				...increase(into, whole(4)),
			]),
			...increase(factors, whole(8 * FACTORS)),
		]);
	},
};

/**
 * Ones on free pixels whose pull is by `least` above that of the pixels `SIDE_PX` to both sides of them, in any of four directions:
 * `standOut(pull, stride, least, free, into, sixteens)`; the stride is of floats.
 */
export const standOut: WasmFunction = {
	name: 'standOut',
	parameters: ['i32', 'i32', 'f32', 'i32', 'i32', 'i32'],
	body: (locals) => {
		const [pull, stride, least, free, into, sixteens] = [0, 1, 2, 3, 4, 5] as const;
		const [own, need] = [locals.f32x4(), locals.f32x4()];
		const masks = Array.from({ length: 4 }, () => locals.f32x4());
		const steps = Array.from({ length: 4 }, () => locals.i32());
		const side = (k: number): Code => [
			...set(own, minus4(load4(get(pull), 16 * k), get(need))),
			...set(
				masks[k]!,
				steps
					.map((step) =>
						lessFloats(
							larger4(
								load4(plus(get(pull), get(step)), 16 * k),
								load4(plus(get(pull), times(get(step), whole(-1))), 16 * k),
							),
							get(own),
						),
					)
					.reduce(orLanes),
			),
		];
		const rows: Code = times(get(stride), whole(4 * SIDE_PX));
		return [
			...set(need, spread4(get(least))),
			...set(steps[0]!, whole(4 * SIDE_PX)),
			...set(steps[1]!, rows),
			...set(steps[2]!, plus(rows, whole(4 * SIDE_PX))),
			...set(steps[3]!, plus(rows, whole(-4 * SIDE_PX))),
			...repeat(locals, get(sixteens), [
				...masks.flatMap((_, k) => side(k)),
				...store16(
					get(into),
					andLanes(
						narrowMask8(narrowMask4(get(masks[0]!), get(masks[1]!)), narrowMask4(get(masks[2]!), get(masks[3]!))),
						load16(get(free)),
					),
				),
				...increase(pull, whole(64)),
				...[free, into].flatMap((address) => increase(address, whole(16))),
			]),
		];
	},
};
