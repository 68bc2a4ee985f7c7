import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { type Ellipsoid, ellipsoidOf } from '../material/ellipsoid';
import type { ColourPatch, Material } from '../material/material';
import { CELLS, type CellCounts } from './cells';
import { sumByClass } from './classDensities';
import { densitiesOf } from './colourDensities';
import { coarseCounts, fitShares } from './fitShares';
import type { SharedPatch } from './surfaceColour';

/**
 * How common surface and classes are among pixels before a photo is looked at, by class code: rounded shares over 110 close-ups
 * of all kinds of product (models/CARD.md). Tinned wire and aluminium are rare; told nothing, their greys would take over shaded
 * paper and copper's shine.
 */
const CLASS_SHARES = [0.614, 0.1, 0.04, 0.04, 0.2, 0.006];

/** Class codes of the colour cube's cells for one photo. */
export interface LookupTable {
	/** Class code of each cell; cells without pixels are UNJUDGED. */
	readonly code: Uint8Array;
	/** Shares of background and classes in the field as the colours fit best, by class code. */
	readonly shares: Float64Array;
	/** Natural log-odds of bright copper against insulation in steps of `LOG_STEPS_PER_E`, by cell; at most 127 either way. */
	readonly copperOverInsulation: Int8Array;
}

/** Steps in which log-odds are kept, to the unit of the natural logarithm. */
export const LOG_STEPS_PER_E = 16;

/** One colour with what class it stands for. */
export interface Colour {
	readonly code: number;
	readonly share: number;
	readonly ellipsoid: Ellipsoid;
}

/**
 * Compile a material's colours and the surface's own into a table from colour cell to class code.
 *
 * Every colour is a normal distribution in CIELAB. How common each is on this photo is fitted first (expectation and
 * maximisation on the counts of the cells, with a weak prior at the material's shares), so that a product without copper
 * does not find some in every brownish pixel. Then a cell gets the class with the largest summed density; a cell farther
 * than `material.farthestDistance` standard deviations from every colour stays unjudged.
 *
 * @source A. Dempster, N. Laird, D. Rubin, J. R. Stat. Soc. B 39 (1977) 1; priors fitted on unlabelled data: M. Saerens,
 *   P. Latinne, C. Decaestecker, Neural Computation 14 (2002) 21 (from memory)
 */
export function compileLookupTable(
	cells: CellCounts,
	surface: readonly SharedPatch[],
	material: Material,
): LookupTable {
	const colours = coloursOf(surface, material);
	const { used } = cells;
	const coarse = coarseCounts(cells);
	const ellipsoids = colours.map(({ ellipsoid }) => ellipsoid);
	const weights = fitShares(colours, coarse.pixels, densitiesOf(coarse.cielab, ellipsoids));
	const weighted = colours.map(({ code, ellipsoid }, c) => ({ code, ellipsoid, weight: weights[c]! }));
	const told = new ToldCells(used);
	sumByClass(cells.cielab, weighted, CLASSES, material.farthestDistance, told.take);
	const shares = new Float64Array(CLASSES);
	for (const { code, weight } of weighted) shares[code]! += weight;
	return { code: told.code, shares, copperOverInsulation: told.copperOverInsulation };
}

/** Bare surface and the classes. */
const CLASSES = MATERIAL_CLASSES.length + 1;
/** Part of the largest density of any colour that copper and insulation have at least. */
const LEAST_DENSITY = 1e-9;

/** What is told of the used cells; the others stay unjudged. */
class ToldCells {
	readonly code = new Uint8Array(CELLS).fill(UNJUDGED);
	readonly copperOverInsulation = new Int8Array(CELLS);
	constructor(private readonly used: Int32Array) {}
	/** The cells of some places, by the sums of `sumByClass`. */
	readonly take = (first: number, count: number, sums: Float64Array, near: Uint8Array): void => {
		callCells(this.used, first, count, sums, near, this.code, this.copperOverInsulation);
	};
}

function callCells(
	used: Int32Array,
	first: number,
	count: number,
	sums: Float64Array,
	near: Uint8Array,
	code: Uint8Array,
	copperOverInsulation: Int8Array,
): void {
	for (let k = 0, at = 0; k < count; k++, at += CLASSES + 1) {
		if (near[k] === 0) continue;
		const cell = used[first + k]!;
		let best = 0;
		for (let c = 1; c < CLASSES; c++) if (sums[at + c]! > sums[at + best]!) best = c;
		code[cell] = best;
		const least = LEAST_DENSITY * sums[at + CLASSES]!;
		const odds = (sums[at + CLASS_CODE.brightCopper]! + least) / (sums[at + CLASS_CODE.insulation]! + least);
		copperOverInsulation[cell] = Math.max(-127, Math.min(127, Math.trunc(LOG_STEPS_PER_E * Math.log(odds))));
	}
}

/** The surface's and the classes' colours, each with its share before the photo is looked at. */
export function coloursOf(surface: readonly SharedPatch[], material: Material): Colour[] {
	const of = (code: number, patches: readonly ColourPatch[]): Colour[] => {
		const shares = patches.map(({ share }) => share ?? 1 / patches.length);
		const sum = shares.reduce((all, share) => all + share, 0);
		return patches.map((patch, k) => ({
			code,
			share: (CLASS_SHARES[code]! * shares[k]!) / sum,
			ellipsoid: ellipsoidOf(patch),
		}));
	};
	return [
		...of(BACKGROUND, surface),
		...MATERIAL_CLASSES.flatMap((name) => of(CLASS_CODE[name], material.classes[name].colours)),
	];
}
