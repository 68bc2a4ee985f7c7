import type { Ellipsoid } from '../material/ellipsoid';
import { logsAt, numbersOf } from './colourDensities';
import { classSums, WEIGHTED } from './densityCode';
import { kernelsOf } from './kernelMemory';

/** A colour, the class it stands for and how common it is. */
export interface WeightedColour {
	readonly code: number;
	readonly weight: number;
	readonly ellipsoid: Ellipsoid;
}

/**
 * Takes what is known of some places, `first` on: for each the densities of the classes by code and behind them the largest of any colour, and 1
 * where any colour is near. The arrays are written again for the next places.
 */
export type Taking = (first: number, count: number, sums: Float64Array, near: Uint8Array) => void;

interface SumFunctions {
	classSums(
		places: number,
		classes: number,
		cielab: number,
		colours: number,
		counts: number,
		farthest: number,
		into: number,
		near: number,
	): void;
}

const sumKernels = kernelsOf<SumFunctions>([classSums]);

/** Places whose sums lie in a processor's first cache. */
const PLACES_AT_ONCE = 512;

/**
 * Densities of classes at places: those of their colours, weighted by how common each is, summed.
 *
 * @param cielab - L, a, b of each place
 * @param classes - class codes run from 0 to one less
 * @param farthest - distance up to which a colour is near, standard deviations
 */
export function sumByClass(
	cielab: Float64Array,
	colours: readonly WeightedColour[],
	classes: number,
	farthest: number,
	take: Taking,
): void {
	if (!sumByKernel(cielab, colours, classes, farthest, take)) sumSlowly(cielab, colours, classes, farthest, take);
}

/** The same in the kernels; powers of e differ in their last bits. False without SIMD. */
export function sumByKernel(
	cielab: Float64Array,
	colours: readonly WeightedColour[],
	classes: number,
	farthest: number,
	take: Taking,
): boolean {
	const { numbers, counts } = inPairs(colours, classes);
	let bytes = 0;
	const space = (size: number) => {
		const at = bytes;
		bytes += 16 * Math.ceil(size / 16);
		return at;
	};
	const [places, ofColours, ofClasses, squared] = [
		space(24 * PLACES_AT_ONCE),
		space(8 * numbers.length),
		space(4 * classes),
		space(16),
	];
	const [into, nears] = [space(8 * (classes + 1) * PLACES_AT_ONCE), space(PLACES_AT_ONCE)];
	const kernels = sumKernels(bytes);
	if (kernels === undefined) return false;
	const { buffer } = kernels.bytes;
	const all = new Float64Array(buffer);
	all.set(numbers, ofColours / 8);
	all.fill(farthest * farthest, squared / 8, squared / 8 + 2);
	new Int32Array(buffer).set(counts, ofClasses / 4);
	const sums = all.subarray(into / 8, into / 8 + (classes + 1) * PLACES_AT_ONCE);
	const near = kernels.bytes.subarray(nears, nears + PLACES_AT_ONCE);
	for (let from = 0; 3 * from < cielab.length; from += PLACES_AT_ONCE) {
		const count = Math.min(PLACES_AT_ONCE, cielab.length / 3 - from);
		all.set(cielab.subarray(3 * from, 3 * (from + count)), places / 8);
		kernels.classSums(count, classes, places, ofColours, ofClasses, squared, into, nears);
		take(from, count, sums, near);
	}
	return true;
}

/** Numbers of two colours of a class side by side, class by class; what has no other, and a class without colours, has one of no weight there. */
function inPairs(
	colours: readonly WeightedColour[],
	classes: number,
): { readonly numbers: number[]; readonly counts: number[] } {
	const numbers: number[] = [];
	const counts: number[] = [];
	for (let code = 0; code < classes; code++) {
		const own = colours.filter((colour) => colour.code === code).map(weighted);
		if (own.length === 0) own.push(NOWHERE);
		if (own.length % 2 === 1) own.push(NOWHERE);
		for (let c = 0; c < own.length; c += 2)
			for (let k = 0; k < WEIGHTED; k++) numbers.push(own[c]![k]!, own[c + 1]![k]!);
		counts.push(own.length / 2);
	}
	return { numbers, counts };
}

function weighted({ ellipsoid, weight }: WeightedColour): readonly number[] {
	return [...numbersOf(ellipsoid), weight];
}

/** A colour that no place is near. */
const NOWHERE: readonly number[] = [1e9, 0, 0, 1, 0, 0, 1, 0, 1, 0, 0];

/** The same colour by colour, where WebAssembly has no SIMD. */
export function sumSlowly(
	cielab: Float64Array,
	colours: readonly WeightedColour[],
	classes: number,
	farthest: number,
	take: Taking,
): void {
	const ellipsoids = Float64Array.from(colours.flatMap(({ ellipsoid }) => numbersOf(ellipsoid)));
	const logs = new Float64Array(colours.length);
	const sums = new Float64Array(classes + 1);
	const near = new Uint8Array(1);
	for (let k = 0; 3 * k < cielab.length; k++) {
		near[0] = logsAt(cielab, k, ellipsoids, logs) <= farthest * farthest ? 1 : 0;
		sums.fill(0);
		for (let c = 0; c < logs.length; c++) {
			const density = Math.exp(logs[c]!);
			sums[colours[c]!.code]! += colours[c]!.weight * density;
			sums[classes] = Math.max(sums[classes]!, density);
		}
		take(k, 1, sums, near);
	}
}
