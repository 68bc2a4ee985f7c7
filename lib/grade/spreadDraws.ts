import { COMPONENTS, type Component, MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { perName } from '../quantity/perName';
import { type AreaGains, areaGainsOf, scaleCopperAsOne } from './areaGains';
import { CalledShares, seenAreas } from './calledShares';
import { type ClassTotals, thicknessPartsOf, totalsOf } from './classTotals';
import { ERROR_CLASSES } from './errorRates';
import { COPPER_AS_ONE, takeOffFalseCalls } from './falseCalls';
import { type OverlapOfClass, overlapByClass } from './overlap';
import { breadthU } from './rims';
import { samplingVarianceOf } from './samplingVariance';
import { shiftShares } from './sceneScatter';
import { scoopsOf } from './scoops';
import type { SceneShift, SharedErrors } from './sharedErrors';
import { drawnKindOf } from './sideLight';

type PerClass = Readonly<Record<MaterialClass, Float64Array>>;
type PerComponent = Readonly<Record<Component, Float64Array>>;

/** Draws of what lies on one photographed spread; index i is the same world as in the shared errors. */
export interface SpreadDraws {
	/** Projected area of each class over the area of all pieces, corrected for known error rates; the five sum to one. */
	readonly areaFraction: PerClass;
	/** Mass per class in grams as far as the areas tell (locked copper not counted). */
	readonly massG: PerClass;
	/** The part of it that was seen, without the half piece more or less that counting leaves open. */
	readonly seenMassG: PerClass;
	/** Mass per class if all pieces were equally thick: area times density, in grams per millimetre of thickness. */
	readonly equalThicknessMassG: PerClass;
	/** Area called a component's classes, mm2, before error rates are taken off. */
	readonly calledMm2: Readonly<Record<Component, number>>;
	/** Mass of the component if every piece called so were one, grams: what the calls allow at most. */
	readonly calledMassG: PerComponent;
	/** Area that would be called so if the spread held none of the component, mm2: what a blank of this make-up would show. */
	readonly blankMm2: PerComponent;
}

/** The classes whose area speaks for a component. */
export const CLASSES_OF: Readonly<Record<Component, readonly MaterialClass[]>> = {
	copper: ['brightCopper', 'tinnedCopper'],
	aluminium: ['aluminium'],
	insulation: ['insulation'],
	other: ['other'],
};

/**
 * What one spread may hold, given its areas and widths and all their errors.
 *
 * Volume of a class is its thickness factor times the sum of local width times area, or sheet thickness times area where pieces
 * were cut from sheet; mass is volume times density. Errors: class confusion (false calls taken off, missed pieces put back, shares
 * shifted where scenes scatter more), unjudged area (handed out at random), overlap, rims, density, thickness, and which pieces
 * happened to be scooped up. Causes in `shared.held` stay at their best value.
 *
 * @param purpose - names the product and the spread, so that the sampling errors of different spreads are independent
 * @param options.drawn - arrays to draw into, where what an earlier spread left in them is no longer needed
 * @param options.ofSpreads - how many spreads are added up: what is not known of rare pieces is shared out among them
 * @source mean thickness of lying solids: see lib/material/defaultMaterial.ts; sampling floor: Gy, see samplingVariance.ts
 */
export function drawSpread(
	reading: SpreadReading,
	material: Material,
	shared: SharedErrors,
	purpose: readonly string[],
	{
		drawn = spreadArrays(shared.draws),
		ofSpreads = 1,
	}: { readonly drawn?: SpreadArrays; readonly ofSpreads?: number } = {},
): SpreadDraws {
	const totals = perClass((name) => totalsOf(reading, name));
	const samplingVariance = samplingVarianceOf(reading, material);
	const worlds = new SpreadWorlds(reading, material, shared, purpose, ofSpreads, totals, samplingVariance, drawn);
	for (let from = 0; from < shared.draws; from += WORLDS_AT_ONCE)
		worlds.draw(from, Math.min(shared.draws, from + WORLDS_AT_ONCE));
	return {
		...drawn,
		calledMm2: perName(COMPONENTS, (component) =>
			CLASSES_OF[component].reduce((sum, name) => sum + totals[name].areaMm2, 0),
		),
	};
}

/** Worlds drawn in one go: a function entered several times a photo is compiled for good, one long loop anew for each photo. */
const WORLDS_AT_ONCE = 200;

/** What one class's figures in a world are made of, by world where they are drawn. */
interface ClassParts {
	readonly area: Float64Array;
	readonly mass: Float64Array;
	readonly seen: Float64Array;
	readonly equal: Float64Array;
	readonly density: Float64Array;
	readonly overlap: OverlapOfClass;
	readonly merged: Float64Array;
	readonly factor: Float64Array;
	readonly shape: Float64Array;
	readonly sheet: Float64Array;
	readonly widthMm: number;
	readonly sheetShare: number;
	readonly scoop: Float64Array;
	readonly rim: Float64Array;
	readonly rimSd: number;
	readonly gain: Float64Array;
	/** Area called so, mm2, and what it counts by. */
	readonly calledMm2: number;
	readonly gainOfCalls: Float64Array;
	/** Place of the component that it speaks for. */
	readonly component: number;
}

/** Draws one spread's worlds into its arrays. */
class SpreadWorlds {
	private readonly fieldMm2: number;
	private readonly calls: CalledShares;
	private readonly classes: readonly ClassParts[];
	private readonly blanks: readonly Float64Array[];
	private readonly calledMasses: readonly Float64Array[];
	private readonly tables: Float64Array;
	private readonly measuredGains: Uint8Array | undefined;
	private readonly gains: AreaGains;
	private readonly groupOf: readonly number[] | undefined;
	private readonly widthsMm: readonly number[];
	private readonly shift: SceneShift | undefined;
	private readonly called = new Float64Array(ERROR_CLASSES);
	private readonly truth = new Float64Array(ERROR_CLASSES);
	private readonly areas = new Float64Array(MATERIAL_CLASSES.length);
	/** Areas of all classes, by world. */
	private readonly all: Float64Array;
	constructor(
		reading: SpreadReading,
		material: Material,
		private readonly shared: SharedErrors,
		purpose: readonly string[],
		ofSpreads: number,
		totals: Readonly<Record<MaterialClass, ClassTotals>>,
		samplingVariance: ReturnType<typeof samplingVarianceOf>,
		drawn: SpreadArrays,
	) {
		const seen = seenAreas(totals);
		this.fieldMm2 = reading.blocks.reduce((sum, block) => sum + block.fieldMm2, 0);
		this.calls = new CalledShares(reading, seen, this.fieldMm2, shared, purpose, ofSpreads);
		const overlap = overlapByClass(reading, material);
		const scoops = scoopsOf(samplingVariance, shared, purpose);
		const kind = drawnKindOf(reading);
		this.tables = shared.ratesOf(kind);
		const gains = areaGainsOf(shared, kind, seen);
		this.gains = gains;
		this.groupOf = gains.copper === undefined ? undefined : COPPER_AS_ONE;
		this.measuredGains = shared.measuredGainsOf(kind);
		this.shift = shared.sceneShiftOf(kind);
		this.blanks = COMPONENTS.map((component) => drawn.blankMm2[component]);
		this.calledMasses = COMPONENTS.map((component) => drawn.calledMassG[component]);
		// arrays by place, not by name: the loop over them runs draws x spreads x causes times
		this.classes = MATERIAL_CLASSES.map((name) => ({
			area: drawn.areaFraction[name],
			mass: drawn.massG[name],
			seen: drawn.seenMassG[name],
			equal: drawn.equalThicknessMassG[name],
			density: shared.densityKgPerM3[name],
			overlap: overlap[name],
			merged: shared.overlap.merged[name],
			factor: shared.massFactor[name],
			shape: shared.shapeFactor[name],
			sheet: shared.sheetThicknessMm[name],
			...thicknessPartsOf(totals, name),
			scoop: scoops[name],
			rim: shared.rims[name],
			rimSd: rimSdOf(reading, totals, material, name),
			gain: gains.of[name],
			calledMm2: totals[name].areaMm2,
			component: COMPONENTS.findIndex((component) => CLASSES_OF[component].includes(name)),
			gainOfCalls: (CLASSES_OF.copper.includes(name) && gains.copper) || gains.of[name],
		}));
		this.widthsMm = this.classes.map(({ widthMm }) => widthMm);
		this.all = new Float64Array(shared.draws);
	}
	/** Draw the worlds from one to another (not included); worlds are drawn in order. */
	draw(from: number, to: number): void {
		const { classes, calledMasses, shared, all } = this;
		for (let i = from; i < to; i++) {
			this.calls.next(this.called);
			this.drawAreas(i);
		}
		all.fill(0, from, to);
		for (let c = 0; c < classes.length; c++) {
			const one = classes[c]!;
			weigh(one, shared.overlap.piled, shared.overlap.order, calledMasses[one.component]!, all, from, to);
		}
		for (let c = 0; c < classes.length; c++) takeShares(classes[c]!.area, all, from, to);
	}
	/** Areas of the classes in one world, and what a blank would show of each component. */
	private drawAreas(i: number): void {
		const { classes, blanks, calledMasses, truth, areas, tables, fieldMm2, shift, gains } = this;
		const offset = i * ERROR_CLASSES ** 2;
		takeOffFalseCalls(this.called, tables, offset, truth, this.measuredGains, this.groupOf);
		const { unseen } = this.calls;
		for (let c = 0; c < classes.length; c++) {
			// what was missed was put back for them too
			const found = this.measuredGains === undefined ? tables[offset + (c + 1) * (ERROR_CLASSES + 1)]! : 1;
			const all = truth[c + 1]! * found;
			classes[c]!.seen[i] = all > unseen[c]! ? 1 - unseen[c]! / all : 0;
		}
		for (let c = 0; c < blanks.length; c++) {
			blanks[c]![i] = calledWithout(OWN_CODES[c]!, truth, tables, offset) * fieldMm2;
			calledMasses[c]![i] = 0;
		}
		for (let c = 0; c < classes.length; c++) areas[c] = truth[c + 1]! * fieldMm2 * classes[c]!.gain[i]!;
		if (gains.copper !== undefined) scaleCopperAsOne(areas, this.widthsMm, gains.of, gains.copper[i]!, i);
		for (let c = 0; c < classes.length; c++) areas[c]! *= classes[c]!.scoop[i]!;
		if (shift !== undefined) shiftShares(areas, shift.copper[i]!, shift.aluminium[i]!);
		for (let c = 0; c < classes.length; c++) classes[c]!.area[i] = areas[c]!;
	}
}

// class by class, each array by itself: a loop over worlds that goes through all classes waits for memory

/** Masses of a class from its areas in the worlds from one to another (not included); its areas are added to `all`. */
function weigh(
	one: ClassParts,
	piled: Float64Array,
	orders: Float64Array,
	calledMass: Float64Array,
	all: Float64Array,
	from: number,
	to: number,
): void {
	const { area, mass, seen, equal, density, merged, factor, shape, sheet, rim, gainOfCalls } = one;
	const { widthMm, sheetShare, rimSd, calledMm2 } = one;
	const { level, tilted, own } = one.overlap;
	for (let i = from; i < to; i++) {
		const areaMm2 = area[i]!;
		const gramsPerMm3 = density[i]! * 1e-6;
		const thicknessMm = factor[i]! * (shape[i]! * widthMm + sheet[i]! * sheetShare);
		const hidden = piled[i]! * (level + orders[i]! * tilted - merged[i]! * own);
		const broader = rimSd * (rim[i]! - 0.5 * rimSd);
		mass[i] = areaMm2 * thicknessMm * gramsPerMm3 * Math.exp(hidden + broader);
		seen[i]! *= mass[i]!;
		equal[i] = areaMm2 * gramsPerMm3;
		calledMass[i]! += calledMm2 * gainOfCalls[i]! * thicknessMm * gramsPerMm3;
		all[i]! += areaMm2;
	}
}

/** Areas as shares of all, nothing where there is none. */
function takeShares(area: Float64Array, all: Float64Array, from: number, to: number): void {
	for (let i = from; i < to; i++) area[i] = all[i]! > 0 ? area[i]! / all[i]! : 0;
}

/** The arrays that the draws of one spread lie in. */
export type SpreadArrays = Pick<
	SpreadDraws,
	'areaFraction' | 'massG' | 'seenMassG' | 'equalThicknessMassG' | 'calledMassG' | 'blankMm2'
>;

/** Arrays for the draws of a spread; one set can serve many spreads in turn, each overwriting the one before. */
export function spreadArrays(draws: number): SpreadArrays {
	return {
		areaFraction: emptyDraws(draws),
		massG: emptyDraws(draws),
		seenMassG: emptyDraws(draws),
		equalThicknessMassG: emptyDraws(draws),
		calledMassG: emptyPerComponent(draws),
		blankMm2: emptyPerComponent(draws),
	};
}

function emptyPerComponent(draws: number): PerComponent {
	return perName(COMPONENTS, () => new Float64Array(draws));
}

function emptyDraws(draws: number): PerClass {
	return perClass(() => new Float64Array(draws));
}

/** Codes on an error table of the classes that speak for each component, in the order of COMPONENTS. */
const OWN_CODES = COMPONENTS.map((component) =>
	CLASSES_OF[component].map((name) => MATERIAL_CLASSES.indexOf(name) + 1),
);

/** Share of the field that would be called one of the component's classes although everything there is something else. */
function calledWithout(own: readonly number[], truth: Float64Array, rates: Float64Array, offset: number): number {
	let sum = 0;
	for (let o = 0; o < own.length; o++) {
		const j = own[o]!;
		for (let k = 0, at = offset + j; k < ERROR_CLASSES; k++, at += ERROR_CLASSES) sum += truth[k]! * rates[at]!;
		for (let q = 0; q < own.length; q++) sum -= truth[own[q]!]! * rates[offset + own[q]! * ERROR_CLASSES + j]!;
	}
	return sum;
}

/** Standard deviation of the logarithm of a class's volume from where its pieces' rims lie; what was cut from sheet has none. */
function rimSdOf(
	{ pixelMm = 0 }: SpreadReading,
	totals: Readonly<Record<MaterialClass, ClassTotals>>,
	material: Material,
	name: MaterialClass,
): number {
	const { widthMm, sheetShare } = thicknessPartsOf(totals, name);
	const { factor, sheetThicknessMm } = material.classes[name].shape;
	const byWidth = factor.value * widthMm;
	const bySheet = (sheetThicknessMm?.value ?? 1) * sheetShare;
	const ofWidth = breadthU(pixelMm, widthMm / Math.max(1e-9, 1 - sheetShare));
	return byWidth > 0 ? Math.sqrt(Math.log(1 + (ofWidth * (byWidth / (byWidth + bySheet))) ** 2)) : 0;
}
