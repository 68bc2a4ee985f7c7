import type { Ellipsoid } from '../material/ellipsoid';
import { colourLogs, ELLIPSOID } from './densityCode';
import { kernelsOf } from './kernelMemory';

/** Logarithm of the density ratio below which a colour plays no part. */
export const NEGLIGIBLE = -30;

/** Densities of colours at places: those that play a part at place k are numbers `first[k]` to `first[k + 1]` (not included). */
export interface Densities {
	readonly first: Int32Array;
	readonly colour: Uint8Array;
	/** Scaled per place so that the largest is 1. */
	readonly density: Float64Array;
}

interface DensityFunctions {
	colourLogs(places: number, pairs: number, cielab: number, colours: number, into: number, largest: number): void;
}

const densityKernels = kernelsOf<DensityFunctions>([colourLogs]);

/** Places whose logarithms lie in a processor's second cache. */
const PLACES_AT_ONCE = 512;

/**
 * Density of each colour at each place.
 *
 * @param cielab - L, a, b of each place
 */
export function densitiesOf(cielab: Float64Array, colours: readonly Ellipsoid[]): Densities {
	return byKernel(cielab, colours) ?? densitiesSlowly(cielab, colours);
}

function byKernel(cielab: Float64Array, colours: readonly Ellipsoid[]): Densities | undefined {
	const n = colours.length;
	const pairs = Math.ceil(n / 2);
	if (pairs === 0) return undefined;
	let bytes = 0;
	const take = (size: number) => {
		const at = bytes;
		bytes += 16 * Math.ceil(size / 16);
		return at;
	};
	const [places, ofColours] = [take(24 * PLACES_AT_ONCE), take(16 * ELLIPSOID * pairs)];
	const [logs, most] = [take(16 * pairs * PLACES_AT_ONCE), take(16 * PLACES_AT_ONCE)];
	const kernels = densityKernels(bytes);
	if (kernels === undefined) return undefined;
	const numbers = new Float64Array(kernels.bytes.buffer);
	numbers.set(inPairs(colours), ofColours / 8);
	const out = new Kept(cielab.length / 3, n);
	const all = cielab.length / 3;
	for (let from = 0; from < all; from += PLACES_AT_ONCE) {
		const count = Math.min(PLACES_AT_ONCE, all - from);
		numbers.set(cielab.subarray(3 * from, 3 * (from + count)), places / 8);
		kernels.colourLogs(count, pairs, places, ofColours, logs, most);
		out.keepAll(numbers, logs / 8, 2 * pairs, most / 8, count);
	}
	return out.densities();
}

/** Numbers of two colours side by side; one without another has itself beside it, at no density. */
function inPairs(colours: readonly Ellipsoid[]): Float64Array {
	const out = new Float64Array(2 * ELLIPSOID * Math.ceil(colours.length / 2));
	for (let c = 0; c < out.length / ELLIPSOID; c++) {
		const own = colours[c];
		const numbers = numbersOf(own ?? colours[c - 1]!);
		if (own === undefined) numbers[ELLIPSOID - 1] = Number.POSITIVE_INFINITY;
		for (let k = 0; k < ELLIPSOID; k++) out[2 * (ELLIPSOID * (c >> 1) + k) + (c & 1)] = numbers[k]!;
	}
	return out;
}

/** A colour's numbers as the kernels take them (densityCode.ts). */
export function numbersOf({ L, a, b, inverse, logDet }: Ellipsoid): number[] {
	return [L, a, b, ...inverse, logDet];
}

/** The same where WebAssembly has no SIMD. */
export function densitiesSlowly(cielab: Float64Array, colours: readonly Ellipsoid[]): Densities {
	const places = cielab.length / 3;
	const logs = new Float64Array(colours.length);
	const largest = new Float64Array(2);
	const ellipsoids = Float64Array.from(colours.flatMap(numbersOf));
	const out = new Kept(places, colours.length);
	for (let k = 0; k < places; k++) {
		logsAt(cielab, k, ellipsoids, logs);
		largest.fill(logs.reduce((most, log) => Math.max(most, log), Number.NEGATIVE_INFINITY));
		out.keepAll(logs, 0, logs.length, 0, 1, largest);
	}
	return out.densities();
}

/** Collects the colours that play a part, place by place. */
class Kept {
	private place = 0;
	private count = 0;
	private readonly first: Int32Array;
	private readonly colour: Uint8Array;
	private readonly density: Float64Array;
	constructor(
		places: number,
		private readonly colours: number,
	) {
		this.first = new Int32Array(places + 1);
		this.colour = new Uint8Array(places * colours);
		this.density = new Float64Array(places * colours);
	}
	/** Those of so many places, whose logarithms stand `step` apart from `at` on, and the larger of two as their largest from `most` on. */
	keepAll(logs: Float64Array, at: number, step: number, most: number, places: number, largest = logs): void {
		const { first, colour, density, colours } = this;
		let { count } = this;
		// Hot loop.
		for (let k = 0; k < places; k++) {
			const from = at + k * step;
			const peak = Math.max(largest[most + 2 * k]!, largest[most + 2 * k + 1]!);
			for (let c = 0; c < colours; c++) {
				const log = logs[from + c]! - peak;
				if (log < NEGLIGIBLE) continue;
				colour[count] = c;
				density[count++] = Math.exp(log);
			}
			first[++this.place] = count;
		}
		this.count = count;
	}
	densities(): Densities {
		return { first: this.first, colour: this.colour, density: this.density };
	}
}

/**
 * Log densities of the colours at place `k`; squared distances as in lib/material/ellipsoid.ts.
 *
 * @returns the squared distance of the nearest
 */
export function logsAt(cielab: Float64Array, k: number, ellipsoids: Float64Array, logs: Float64Array): number {
	const L = cielab[3 * k]!;
	const a = cielab[3 * k + 1]!;
	const b = cielab[3 * k + 2]!;
	let nearest = Number.POSITIVE_INFINITY;
	// Hot loop.
	for (let c = 0, e = 0; c < logs.length; c++, e += ELLIPSOID) {
		const x = L - ellipsoids[e]!;
		const y = a - ellipsoids[e + 1]!;
		const z = b - ellipsoids[e + 2]!;
		const squared =
			x * (ellipsoids[e + 3]! * x + 2 * (ellipsoids[e + 4]! * y + ellipsoids[e + 5]! * z)) +
			y * (ellipsoids[e + 6]! * y + 2 * ellipsoids[e + 7]! * z) +
			ellipsoids[e + 8]! * z * z;
		if (squared < nearest) nearest = squared;
		logs[c] = -0.5 * (squared + ellipsoids[e + 9]!);
	}
	return nearest;
}
