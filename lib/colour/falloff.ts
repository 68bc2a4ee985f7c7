import { Matrix, solve } from 'ml-matrix';
import { fitGrid, gridAt, type ShadowGrid } from './shadowGrid';

/**
 * How the light varies over the field, in the logarithm of linear light: per channel a second-degree surface (lamps,
 * windows, lens), and on top of it, alike for all channels, a smooth map (the phone's and the hand's soft shadows).
 */
export interface Falloff {
	readonly fieldWidthMm: number;
	readonly fieldHeightMm: number;
	/** Per channel the factors of 1, u, v, u^2, uv, v^2; u and v run from -1 to 1 across the field and on beyond it. */
	readonly coefficients: readonly [Surface2, Surface2, Surface2];
	readonly shadows: ShadowGrid;
}

type Surface2 = readonly [number, number, number, number, number, number];

/** Light read at bare spots: entry i of each array belongs to spot i. */
export interface BareSpots {
	readonly count: number;
	/** Millimetres from the field's top-left corner. */
	readonly xMm: Float64Array;
	readonly yMm: Float64Array;
	/** Natural logarithm of linear light, three channels a spot. */
	readonly log: Float64Array;
	/** 1 where known to be bare from the start (the mat's margins), 0 where only looking so. */
	readonly sure: Uint8Array;
}

export interface FalloffFit {
	readonly falloff: Falloff;
	/** Standard deviation of the spots kept about the fitted light, in the logarithm. */
	readonly scatter: number;
	/** Share of all spots offered that lie on it. */
	readonly keptShare: number;
}

type Field = Pick<Falloff, 'fieldWidthMm' | 'fieldHeightMm'>;

/**
 * Bare paper kept lies this close to the fitted light, in its logarithm: grain and noise average out to a per cent or two
 * over a spot, a piece or its hard shadow shows as more. Chosen by eye, bounded by tests/colour/correctLight.test.ts.
 */
const BARE_WITHIN = 0.05;

/** Round by round a multiple of it: wide at first, so that soft shadows are followed before what is not bare is thrown out. */
const WIDENING = [10, 4, 2.4, 1.4, 1, 1];
/** Spots inside the field join from this round on. */
const FIELD_JOINS = 1;
const LEAST_SPOTS = 40;

/** Light relative to 1 (at the place the fit was anchored) per channel at a place on the field. */
export function lightAt(falloff: Falloff, xMm: number, yMm: number): [number, number, number] {
	const t = terms(falloff, xMm, yMm);
	const shadow = gridAt(falloff.shadows, xMm, yMm);
	const [r, g, b] = falloff.coefficients;
	return [Math.exp(dot(r, t) + shadow), Math.exp(dot(g, t) + shadow), Math.exp(dot(b, t) + shadow)];
}

/**
 * Fit the light to bare spots and throw out what is not bare: round by round, spots off the fit leave, others that lie on it
 * join.
 *
 * @param anchorMm - where the light is called 1
 * @param within - how close to the fit a bare spot lies, log light
 * @returns undefined with too few bare spots
 */
export function fitFalloff(
	spots: BareSpots,
	field: Field,
	anchorMm: { readonly x: number; readonly y: number },
	within = BARE_WITHIN,
): FalloffFit | undefined {
	const { count: all, xMm, yMm, sure } = spots;
	const rows = rowsOf(spots, field);
	const misses = new Float64Array(all);
	// how far each channel lies off the surfaces, three a spot
	const off = new Float64Array(3 * all);
	const kept = new Int32Array(all);
	let count = keepSure(sure, kept);
	const rest = { xMm: new Float64Array(all), yMm: new Float64Array(all), value: new Float64Array(all) };
	let falloff: Falloff | undefined;
	for (const [round, widening] of WIDENING.entries()) {
		if (count < LEAST_SPOTS) return undefined;
		const coefficients = solveSurfaces(rows, kept.subarray(0, count));
		offSurfaces(rows, coefficients, off);
		gather(kept, count, xMm, yMm, off, rest.xMm, rest.yMm, rest.value);
		const shadows = fitGrid({ count, ...rest });
		count = keepNear(xMm, yMm, sure, off, shadows, widening * within, round < FIELD_JOINS, misses, kept);
		falloff = falloffOf(field, coefficients, shadows);
	}
	if (!falloff) return undefined;
	return { falloff: anchored(falloff, anchorMm.x, anchorMm.y), ...closeness(misses, within) };
}

/** Scatter of the misses that are small enough, and their share. */
function closeness(misses: Float64Array, within: number): Omit<FalloffFit, 'falloff'> {
	let squares = 0;
	let inside = 0;
	for (let i = 0; i < misses.length; i++) {
		const miss = misses[i]!;
		if (!(miss < within)) continue;
		squares += miss * miss;
		inside++;
	}
	return { scatter: Math.sqrt(squares / Math.max(1, inside)), keptShare: inside / misses.length };
}

/** Writes which spots are bare from the start; returns how many. */
function keepSure(sure: Uint8Array, kept: Int32Array): number {
	let count = 0;
	for (let i = 0; i < sure.length; i++) if (sure[i] !== 0) kept[count++] = i;
	return count;
}

/** Writes how far each spot lies from the fit, and which ones lie near it (of the sure ones alone, where asked); returns how many. */
function keepNear(
	xMm: Float64Array,
	yMm: Float64Array,
	sure: Uint8Array,
	off: Float64Array,
	shadows: ShadowGrid,
	within: number,
	isSureAlone: boolean,
	misses: Float64Array,
	kept: Int32Array,
): number {
	let count = 0;
	for (let i = 0; i < sure.length; i++) {
		const miss = missOf(off, i, gridAt(shadows, xMm[i]!, yMm[i]!));
		misses[i] = miss;
		if (miss < within && (sure[i] !== 0 || !isSureAlone)) kept[count++] = i;
	}
	return count;
}

/** How far the worst channel of a spot lies from the fitted light. */
function missOf(off: Float64Array, spot: number, shadow: number): number {
	return Math.max(
		Math.abs(off[3 * spot]! - shadow),
		Math.abs(off[3 * spot + 1]! - shadow),
		Math.abs(off[3 * spot + 2]! - shadow),
	);
}

/** Places of the spots kept and the mean of their channels off the surfaces. */
function gather(
	kept: Int32Array,
	count: number,
	xMm: Float64Array,
	yMm: Float64Array,
	off: Float64Array,
	keptXMm: Float64Array,
	keptYMm: Float64Array,
	value: Float64Array,
): void {
	for (let k = 0; k < count; k++) {
		const i = kept[k]!;
		keptXMm[k] = xMm[i]!;
		keptYMm[k] = yMm[i]!;
		value[k] = (off[3 * i]! + off[3 * i + 1]! + off[3 * i + 2]!) / 3;
	}
}

/** Numbers a spot: the six terms of its place, then its three logarithms of light. */
const ROW = 9;

function rowsOf({ count, xMm, yMm, log }: BareSpots, field: Field): Float64Array {
	const rows = new Float64Array(ROW * count);
	const { fieldWidthMm, fieldHeightMm } = field;
	for (let from = 0; from < count; from += AT_ONCE)
		writeRows(rows, xMm, yMm, log, fieldWidthMm, fieldHeightMm, from, Math.min(count, from + AT_ONCE));
	return rows;
}

/** Spots gone over in one go: a function entered often is compiled once and for all. */
const AT_ONCE = 256;

function writeRows(
	rows: Float64Array,
	xMm: Float64Array,
	yMm: Float64Array,
	log: Float64Array,
	fieldWidthMm: number,
	fieldHeightMm: number,
	from: number,
	to: number,
): void {
	for (let i = from, at = ROW * from; i < to; i++, at += ROW) {
		const u = (2 * xMm[i]!) / fieldWidthMm - 1;
		const v = (2 * yMm[i]!) / fieldHeightMm - 1;
		rows[at] = 1;
		rows[at + 1] = u;
		rows[at + 2] = v;
		rows[at + 3] = u * u;
		rows[at + 4] = u * v;
		rows[at + 5] = v * v;
		for (let c = 0; c < 3; c++) rows[at + 6 + c] = log[3 * i + c]!;
	}
}

/** How far each spot's light lies off the surfaces: three channels a spot into `off`. */
function offSurfaces(rows: Float64Array, [r, g, b]: Falloff['coefficients'], off: Float64Array): void {
	// Hot loop.
	for (let at = 0, into = 0; at < rows.length; at += ROW, into += 3) {
		let red = rows[at + 6]!;
		let green = rows[at + 7]!;
		let blue = rows[at + 8]!;
		for (let k = 0; k < 6; k++) {
			const term = rows[at + k]!;
			red -= r[k]! * term;
			green -= g[k]! * term;
			blue -= b[k]! * term;
		}
		off[into] = red;
		off[into + 1] = green;
		off[into + 2] = blue;
	}
}

function anchored(falloff: Falloff, xMm: number, yMm: number): Falloff {
	const there = lightAt(falloff, xMm, yMm);
	const [r, g, b] = falloff.coefficients.map(
		([constant, ...rest], c) => [constant - Math.log(there[c]!), ...rest] as Surface2,
	) as [Surface2, Surface2, Surface2]; // three in, three out
	return falloffOf(falloff, [r, g, b], falloff.shadows);
}

function solveSurfaces(rows: Float64Array, kept: Int32Array): [Surface2, Surface2, Surface2] {
	// normal equations: six unknowns, coordinates within about -1.3 to 1.3, so they are well conditioned
	const products = new Float64Array(6 * 6);
	const sums = new Float64Array(6 * 3);
	// Hot loop: the lower half of the symmetric products.
	for (let s = 0; s < kept.length; s++) {
		const at = ROW * kept[s]!;
		for (let i = 0; i < 6; i++) {
			const term = rows[at + i]!;
			for (let j = 0; j <= i; j++) products[6 * i + j]! += term * rows[at + j]!;
			for (let c = 0; c < 3; c++) sums[3 * i + c]! += term * rows[at + 6 + c]!;
		}
	}
	for (let i = 0; i < 6; i++) for (let j = 0; j < i; j++) products[6 * j + i] = products[6 * i + j]!;
	const left = Matrix.from1DArray(6, 6, Array.from(products));
	const right = Matrix.from1DArray(6, 3, Array.from(sums));
	for (let i = 0; i < 6; i++) left.set(i, i, left.get(i, i) + 1e-9 * kept.length);
	const solved = solve(left, right);
	const column = (c: number) => solved.getColumn(c) as unknown as Surface2; // six rows
	return [column(0), column(1), column(2)];
}

function terms({ fieldWidthMm, fieldHeightMm }: Field, xMm: number, yMm: number): Surface2 {
	const u = (2 * xMm) / fieldWidthMm - 1;
	const v = (2 * yMm) / fieldHeightMm - 1;
	return [1, u, v, u * u, u * v, v * v];
}

function dot(a: Surface2, b: Surface2): number {
	return a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3] + a[4] * b[4] + a[5] * b[5];
}

/** Made in one place, so that all are of one shape to the compiler. */
function falloffOf(
	{ fieldWidthMm, fieldHeightMm }: Field,
	coefficients: Falloff['coefficients'],
	shadows: ShadowGrid,
): Falloff {
	return { fieldWidthMm, fieldHeightMm, coefficients, shadows };
}
