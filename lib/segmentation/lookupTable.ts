import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { type Ellipsoid, ellipsoidOf } from '../material/ellipsoid';
import type { ColourPatch, Material } from '../material/material';
import { CELLS, type CellCounts } from './cells';
import { type Densities, densitiesOf } from './colourDensities';
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
	const { first, colour, density, near } = densitiesOf(
		cells.cielab,
		colours.map(({ ellipsoid }) => ellipsoid),
		material.farthestDistance,
	);
	const weights = fitShares(colours, coarseCounts(cells), { first, colour, density });
	const code = new Uint8Array(CELLS).fill(UNJUDGED);
	const copperOverInsulation = new Int8Array(CELLS);
	const codes = Uint8Array.from(colours, (one) => one.code);
	const sums = new Float64Array(MATERIAL_CLASSES.length + 1);
	const shares = new Float64Array(MATERIAL_CLASSES.length + 1);
	const told: Weighted = { codes, weights, first, colour, density };
	for (let from = 0; from < used.length; from += AT_ONCE)
		callCells(told, near, used, from, Math.min(used.length, from + AT_ONCE), sums, code, copperOverInsulation);
	for (let c = 0; c < codes.length; c++) shares[codes[c]!]! += weights[c]!;
	return { code, shares, copperOverInsulation };
}

/** Places gone over in one go: a function entered often is compiled once and for all. */
const AT_ONCE = 1024;

/** Densities with the class and the weight of each colour. */
interface Weighted extends Omit<Densities, 'near'> {
	readonly codes: Uint8Array;
	readonly weights: Float64Array;
}

/** Tell the class of the used cells from one to another (not included). */
function callCells(
	told: Weighted,
	near: Uint8Array,
	used: Int32Array,
	from: number,
	to: number,
	sums: Float64Array,
	code: Uint8Array,
	copperOverInsulation: Int8Array,
): void {
	for (let k = from; k < to; k++) {
		if (near[k] === 0) continue;
		sumByClass(told, k, sums);
		code[used[k]!] = likeliestOf(sums);
		copperOverInsulation[used[k]!] = copperLog(sums);
	}
}

/** Densities at place `k`, weighted and summed by class code. Hot loop: it runs over places x colours. */
function sumByClass({ codes, weights, first, colour, density }: Weighted, k: number, sums: Float64Array): void {
	sums.fill(0);
	for (let i = first[k]!; i < first[k + 1]!; i++) sums[codes[colour[i]!]!]! += weights[colour[i]!]! * density[i]!;
}

function likeliestOf(sums: Float64Array): number {
	let best = 0;
	for (let c = 1; c < sums.length; c++) if (sums[c]! > sums[best]!) best = c;
	return best;
}

function copperLog(sums: Float64Array): number {
	const odds = (sums[CLASS_CODE.brightCopper]! + 1e-9) / (sums[CLASS_CODE.insulation]! + 1e-9);
	return Math.max(-127, Math.min(127, Math.trunc(LOG_STEPS_PER_E * Math.log(odds))));
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
