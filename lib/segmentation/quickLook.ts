import { MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import type { Material } from '../material/material';
import type { Surface } from '../photo/surface';
import { CELLS, type CellCounts, type Cells, CLIPPED, OUTSIDE } from './cells';
import { NEGLIGIBLE } from './colourDensities';
import { coarseCounts, fitShares } from './fitShares';
import { kernelsOf } from './kernelMemory';
import { AT_ONCE, lookUpPlaces, MOST_PLACES } from './lookUpCode';
import { type Colour, coloursOf } from './lookupTable';
import { bareColours } from './segmentByThreshold';
import { STEPS } from './stepTable';
import { surfacePatches } from './surfaceColour';

/** Cells of fewer pixels than this are told by the fullest of the cube of so many steps around them: half of the cells, few of the pixels. */
const FEWEST_PX = 8;
const RARE_SIDE = 2;
/** Steps a side of the cells that shares are fitted to for a quick look: a tenth of those of a reading. */
const FIT_SIDE = 4;

/** What a pixel's place in the table says before any colour: outside the field, and colour lost. */
const [BARE_PLACE, CLIPPED_PLACE, FIRST_PLACE] = [0, 1, 2] as const;

/**
 * A first look at what a material makes of a photo, quick enough to follow a finger: shares are fitted to coarser cells, and no specks
 * cleaned up, so that one to five pixels in a hundred get another label than by `labelCells`.
 *
 * Every pixel's place in a small table is found once, and how far each colour lies from each place is kept while the colour lasts: a
 * change of one class works out its own colours anew, fills the table and looks every pixel up.
 *
 * @returns a function from material to class codes, one a pixel of the cells; the array is written again by the next call
 */
export function quickLook(cells: Cells, surface: Surface): (material: Material) => Uint8Array {
	const found = surfacePatches(cells, surface.kind);
	const fitCounts = coarseCounts(countsOf(cells, fullestCells(cells, FIT_SIDE)));
	const told = fullestCells(cells, RARE_SIDE, FEWEST_PX);
	const places = placesOf(cells, told);
	const distances = new Distances(countsOf(cells, told).cielab, fitCounts.cielab);
	const table = new Uint8Array(FIRST_PLACE + told.kept.length);
	table[CLIPPED_PLACE] = UNJUDGED;
	const labels = new Uint8Array(places.length);
	const lookUp = lookUpIn(places);
	return (material) => {
		const colours = coloursOf(bareColours(found, material), material);
		const apart = distances.of(colours);
		const weights = fitShares(colours, fitCounts.pixels, densitiesAt(apart, colours));
		fillTable(table, apart, colours, weights, material.farthestDistance);
		lookUp(table, labels);
		return labels;
	};
}

/** Looks every pixel's place up in a table. The places stay in a kernel's memory of their own, where there is WebAssembly with SIMD. */
function lookUpIn(places: Uint16Array): (table: Uint8Array, labels: Uint8Array) => void {
	const eights = Math.ceil(places.length / AT_ONCE);
	const [at, into] = [MOST_PLACES, MOST_PLACES + 2 * AT_ONCE * eights];
	const kernels = kernelsOf<LookFunctions>([lookUpPlaces])(into + AT_ONCE * eights);
	if (kernels === undefined || eights === 0)
		return (table, labels) => {
			// Hot loop.
			for (let i = 0; i < labels.length; i++) labels[i] = table[places[i]!]!;
		};
	new Uint16Array(kernels.bytes.buffer).set(places, at / 2);
	return (table, labels) => {
		kernels.bytes.set(table);
		kernels.lookUpPlaces(at, into, eights);
		labels.set(kernels.bytes.subarray(into, into + labels.length));
	};
}

interface LookFunctions {
	lookUpPlaces(places: number, into: number, eights: number): void;
}

/** Where each pixel's cell, or the one that stands for it, stands in the table. */
function placesOf({ cell, used }: Cells, { kept, standIn }: Kept): Uint16Array {
	const placeOf = new Int32Array(used.length);
	for (const [place, k] of kept.entries()) placeOf[k] = FIRST_PLACE + place;
	const placeOfCell = new Int32Array(CELLS);
	for (const [k, one] of used.entries()) placeOfCell[one] = placeOf[standIn[k]!]!;
	const places = new Uint16Array(cell.length);
	// Hot loop.
	for (let i = 0; i < places.length; i++) {
		const one = cell[i]!;
		if (one === OUTSIDE) places[i] = BARE_PLACE;
		else places[i] = one === CLIPPED ? CLIPPED_PLACE : placeOfCell[one]!;
	}
	return places;
}

/** Some of the used cells, and for every used cell the one among them that stands for it; numbers are places among the used ones. */
interface Kept {
	readonly kept: Int32Array;
	readonly standIn: Int32Array;
}

/** Keep the fullest cell of every cube of `side` steps, and those of at least `fewest` pixels; the fullest stands for the others. */
function fullestCells({ used, count }: CellCounts, side: number, fewest = Number.POSITIVE_INFINITY): Kept {
	const across = STEPS / side;
	const cubeOf = (cell: number) => {
		const [red, green, blue] = [cell / STEPS ** 2, (cell / STEPS) % STEPS, cell % STEPS];
		return (Math.floor(red / side) * across + Math.floor(green / side)) * across + Math.floor(blue / side);
	};
	const fullest = new Map<number, number>();
	for (const [k, cell] of used.entries()) {
		const so = fullest.get(cubeOf(cell));
		if (so === undefined || count[cell]! > count[used[so]!]!) fullest.set(cubeOf(cell), k);
	}
	const standIn = Int32Array.from(used, (cell, k) => (count[cell]! >= fewest ? k : fullest.get(cubeOf(cell))!));
	return { kept: Int32Array.from(new Set(standIn)).sort(), standIn };
}

/** Those cells alone, each with the pixels of all that it stands for. */
function countsOf({ used, count, cielab, clipped }: CellCounts, { kept, standIn }: Kept): CellCounts {
	const counts = new Uint32Array(CELLS);
	for (const [k, cell] of used.entries()) counts[used[standIn[k]!]!]! += count[cell]!;
	return {
		clipped,
		count: counts,
		used: Int32Array.from(kept, (k) => used[k]!),
		cielab: Float64Array.from({ length: 3 * kept.length }, (_, i) => cielab[3 * kept[Math.floor(i / 3)]! + (i % 3)]!),
	};
}

/** How far places are from a colour. */
interface Apart {
	/** Density of the colour at the table's places, 1 at its middle, by `DENSITIES`. */
	readonly density: Float32Array;
	/** Squared distances of the places that shares are fitted to, in the colour's own standard deviations. */
	readonly squared: Float32Array;
}

/** Distances of places from colours, kept from one material to the next. */
class Distances {
	private kept = new Map<string, Apart>();
	constructor(
		private readonly table: Float64Array,
		private readonly fitted: Float64Array,
	) {}

	of(colours: readonly Colour[]): Apart[] {
		const before = this.kept;
		this.kept = new Map();
		return colours.map(({ ellipsoid }) => {
			const key = JSON.stringify(ellipsoid);
			const apart = before.get(key) ?? this.kept.get(key) ?? this.from(ellipsoid);
			this.kept.set(key, apart);
			return apart;
		});
	}

	private from(ellipsoid: Colour['ellipsoid']): Apart {
		const density = squaredDistances(this.table, ellipsoid);
		// Hot loop, in the distances' place.
		for (let k = 0; k < density.length; k++) {
			const far = density[k]!;
			density[k] = far < NOWHERE ? DENSITIES[(STEPS_PER_UNIT * far) | 0]! : 0;
		}
		return { density, squared: squaredDistances(this.fitted, ellipsoid) };
	}
}

function squaredDistances(cielab: Float64Array, { L, a, b, inverse }: Colour['ellipsoid']): Float32Array {
	const [ll, la, lb, aa, ab, bb] = inverse;
	const out = new Float32Array(cielab.length / 3);
	// Hot loop; as in lib/material/ellipsoid.ts.
	for (let k = 0, at = 0; k < out.length; k++, at += 3) {
		const x = cielab[at]! - L;
		const y = cielab[at + 1]! - a;
		const z = cielab[at + 2]! - b;
		out[k] = x * (ll * x + 2 * (la * y + lb * z)) + y * (aa * y + 2 * ab * z) + bb * z * z;
	}
	return out;
}

/** Squared distance from which on a colour has no density: materials let colours stray far less. */
const NOWHERE = 160;
/** Steps of the table of densities to the unit of squared distance: it is off by half a hundredth at most, which moves next to no pixel. */
const STEPS_PER_UNIT = 50;
const DENSITIES = Float32Array.from({ length: NOWHERE * STEPS_PER_UNIT }, (_, i) =>
	Math.exp(-0.5 * (i / STEPS_PER_UNIT)),
);

/** Densities as `fitShares` takes them, each place's largest 1. */
function densitiesAt(apart: readonly Apart[], colours: readonly Colour[]) {
	const { largest, logs } = logsOf(
		apart.map(({ squared }) => squared),
		Float64Array.from(colours, ({ ellipsoid }) => -0.5 * ellipsoid.logDet),
	);
	const first = new Int32Array(largest.length + 1);
	const colour = new Uint8Array(largest.length * colours.length);
	const density = new Float64Array(colour.length);
	let count = 0;
	// Hot loop: places x colours.
	for (let k = 0; k < largest.length; k++) {
		for (let c = 0, at = k; c < colours.length; c++, at += largest.length) {
			const log = logs[at]! - largest[k]!;
			if (log < NEGLIGIBLE) continue;
			colour[count] = c;
			density[count++] = DENSITIES[(-2 * STEPS_PER_UNIT * log) | 0]!;
		}
		first[k + 1] = count;
	}
	return { first, colour, density };
}

/** Logarithms of densities, colours x places, each colour's with an offset, and the largest of each place. */
function logsOf(distances: readonly Float32Array[], offsets: Float64Array) {
	const places = distances[0]?.length ?? 0;
	const largest = new Float32Array(places).fill(Number.NEGATIVE_INFINITY);
	const logs = new Float32Array(places * distances.length);
	for (const [c, squared] of distances.entries()) addLogs(squared, offsets[c]!, largest, logs.subarray(c * places));
	return { largest, logs };
}

function addLogs(squared: Float32Array, offset: number, largest: Float32Array, logs: Float32Array): void {
	// Hot loop.
	for (let k = 0; k < squared.length; k++) {
		const log = offset - 0.5 * squared[k]!;
		logs[k] = log;
		if (log > largest[k]!) largest[k] = log;
	}
}

const CLASSES = MATERIAL_CLASSES.length + 1;

/** The class with the largest summed density at each place, as in `compileLookupTable`. */
function fillTable(
	table: Uint8Array,
	apart: readonly Apart[],
	colours: readonly Colour[],
	weights: Float64Array,
	farthest: number,
): void {
	const places = table.length - FIRST_PLACE;
	const sums = new Float32Array(CLASSES * places);
	const largest = new Float32Array(places);
	for (const [c, { code, ellipsoid }] of colours.entries()) {
		const weight = weights[c]! * Math.exp(-0.5 * ellipsoid.logDet);
		addDensities(apart[c]!.density, weight, sums.subarray(code * places, (code + 1) * places), largest);
	}
	const least = Math.exp(-0.5 * farthest * farthest);
	// Hot loop.
	for (let k = 0; k < places; k++) {
		let best = 0;
		let most = sums[k]!;
		for (let code = 1, at = k + places; code < CLASSES; code++, at += places) {
			if (sums[at]! <= most) continue;
			most = sums[at]!;
			best = code;
		}
		table[FIRST_PLACE + k] = largest[k]! >= least ? best : UNJUDGED;
	}
}

function addDensities(density: Float32Array, weight: number, sums: Float32Array, largest: Float32Array): void {
	// Hot loop.
	for (let k = 0; k < density.length; k++) {
		const own = density[k]!;
		sums[k]! += weight * own;
		if (own > largest[k]!) largest[k] = own;
	}
}
