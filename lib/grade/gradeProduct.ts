import {
	COMPONENTS,
	type Component,
	GRADED,
	type Graded,
	MATERIAL_CLASSES,
	type MaterialClass,
} from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { estimateOf, meanEstimateOf, quantileWithin } from '../quantity/estimateOf';
import { meanOf } from '../quantity/moments';
import { knownPerName, perName } from '../quantity/perName';
import type { Estimate } from '../quantity/quantity';
import { type SeenShare, scatterMasses, sharesSeen, togetherAsOne } from './betweenSpreads';
import { classShareDraws, type GradeDraws, gradeDrawsOf } from './gradeDraws';
import { type LeastParts, leastShare, leftOfWhole, partsOfMissing } from './leastParts';
import { lockedIsChecked } from './lockedCopper';
import { samplingVarianceOf } from './samplingVariance';
import type { SharedErrors } from './sharedErrors';
import { CLASSES_OF, drawSpread, type SpreadArrays, type SpreadDraws, spreadArrays } from './spreadDraws';
import { spreadNames } from './spreadNames';

type ClassDraws = Readonly<Record<MaterialClass, Float64Array>>;

/** The four tables of a photo or of a product, as screen, command line and export show them. */
export interface GradeTables {
	/** Shares of all pieces' area. */
	readonly areaFraction: Readonly<Record<MaterialClass, Estimate>>;
	/** Shares of mass by class, locked copper not counted. */
	readonly classMassFraction: Readonly<Record<MaterialClass, Estimate>>;
	/** Shares of dry mass; copper includes the copper estimated to be locked in insulation, freeCopper does not. */
	readonly massFraction: Readonly<Record<Graded, Estimate>>;
	/** The same if all pieces were equally thick and nothing were locked: area times density. */
	readonly densityOnlyMassFraction: Readonly<Record<Graded, Estimate>>;
}

/** A product's grade: tables to show, draws to reckon on with. */
export interface ProductGrade {
	readonly tables: GradeTables;
	readonly draws: GradeDraws;
	readonly toldFrom: ToldFrom;
	readonly leastParts: LeastParts;
}

/** Of components that were detected, the best value that each would have had if it had only just been: what is less was not told. */
export type ToldFrom = Readonly<Partial<Record<Component, number>>>;

/**
 * Grade of one product from the readings of its spreads (or of a single photo: one spread of one reading).
 *
 * Masses of the spreads are added, never their ratios averaged; several photos of one spread are averaged, since they
 * show the same pieces. Where the spreads scatter more than what each has of its own explains, the excess widens the interval
 * (`betweenSpreads.ts`).
 *
 * @param spreads - one list a spread, one reading a photo; at least one of each
 * @throws RangeError when there is no reading
 */
export function gradeProduct(
	spreads: readonly (readonly SpreadReading[])[],
	material: Material,
	shared: SharedErrors,
): ProductGrade {
	if (spreads.length === 0 || spreads.some((photos) => photos.length === 0)) {
		throw new RangeError('gradeProduct needs at least one spread, and one reading in each');
	}
	const sums = spreadArrays(shared.draws);
	const scratch = spreadArrays(shared.draws);
	const names = spreadNames(spreads);
	const told: SpreadDraws['calledMm2'][] = [];
	const shares: (readonly SeenShare[])[] = [];
	for (const [s, photos] of spreads.entries()) {
		const seen: (readonly SeenShare[])[] = [];
		for (const reading of photos) {
			const spread = drawSpread(reading, material, shared, [names[s]!.name], {
				drawn: scratch,
				ofSpreads: spreads.length,
			});
			told.push(spread.calledMm2);
			// one spread by itself has nothing to differ from
			if (spreads.length > 1) seen.push(sharesSeen(spread, samplingVarianceOf(reading, material)));
			addTo(sums, spread, photos.length);
		}
		if (seen.length > 0) shares.push(togetherAsOne(seen));
	}
	for (const name of MATERIAL_CLASSES) takeParts(sums.seenMassG[name], sums.massG[name]);
	scatterMasses(sums.massG, shares, shared, names);
	const locked = lockedIsChecked(material) ? 'checked' : 'default';
	const draws = gradeDrawsOf(sums.massG, shared, locked);
	const densityOnly = gradeDrawsOf(sums.equalThicknessMassG, shared, 'none');
	const calls = callsOf(told, sums);
	const missing = withAlloys(belowDetection(calls, sums, countPieces(spreads)), material);
	const isFew = (component: Graded) => !missing.has(component) && countPieces(spreads, component) < MANY_SEEN;
	const leastParts = {
		...partsSeen(sums, draws, shared, locked, GRADED.filter(isFew)),
		...partsOfMissing(
			shared.draws,
			(component) => missing.has(component),
			shared.seed,
			...names.map(({ name }) => name),
		),
	};
	return {
		draws,
		leastParts,
		toldFrom: toldFrom(calls, sums, draws),
		tables: {
			areaFraction: estimates(MATERIAL_CLASSES, classShareDraws(sums.areaFraction, shared.draws)),
			classMassFraction: estimates(MATERIAL_CLASSES, classShareDraws(sums.massG, shared.draws)),
			massFraction: gradedEstimates(draws, missing, leastParts),
			densityOnlyMassFraction: gradedEstimates(densityOnly, missing, leastParts),
		},
	};
}

/** Add one photo's draws to the product's; several photos of one spread count as one together. Blanks are compared as called, photo by photo. */
function addTo(sums: SpreadArrays, spread: SpreadArrays, photos: number): void {
	for (const name of MATERIAL_CLASSES) {
		addShare(sums.areaFraction[name], spread.areaFraction[name], photos);
		addShare(sums.massG[name], spread.massG[name], photos);
		addShare(sums.seenMassG[name], spread.seenMassG[name], photos);
		addShare(sums.equalThicknessMassG[name], spread.equalThicknessMassG[name], photos);
	}
	for (const component of COMPONENTS) {
		addShare(sums.calledMassG[component], spread.calledMassG[component], photos);
		addShare(sums.blankMm2[component], spread.blankMm2[component], 1);
	}
}

/** Fewer pieces of a component than this are looked at without those that nobody saw: of more, half a piece is a hundredth at most. */
const MANY_SEEN = 50;

/** Masses as parts of others; the first are written over. */
function takeParts(masses: Float64Array, all: Float64Array): void {
	for (let i = 0; i < masses.length; i++) masses[i] = all[i]! > 0 ? masses[i]! / all[i]! : 1;
}

/** Parts of some components that were seen, from the seen parts of classes, which are written over. */
function partsSeen(
	{ massG, seenMassG }: SpreadArrays,
	draws: GradeDraws,
	shared: SharedErrors,
	locked: Parameters<typeof gradeDrawsOf>[2],
	few: readonly Graded[],
): LeastParts {
	if (few.length === 0) return {};
	for (const name of MATERIAL_CLASSES) for (let i = 0; i < shared.draws; i++) seenMassG[name][i]! *= massG[name][i]!;
	const seen = gradeDrawsOf(seenMassG, shared, locked);
	const [all, less] = [totalOf(massG, draws), totalOf(seenMassG, seen)];
	return Object.fromEntries(
		few.map((name) => {
			const part = (own: number, i: number) =>
				own > 0 ? Math.min(1, (seen[name][i]! * less[i]!) / (own * all[i]!)) : 1;
			return [name, draws[name].map(part)];
		}),
	);
}

/** Mass of the whole, locked copper included. */
function totalOf(massG: ClassDraws, { copper, freeCopper }: GradeDraws): Float64Array {
	const total = new Float64Array(copper.length);
	for (const name of MATERIAL_CLASSES) for (let i = 0; i < total.length; i++) total[i]! += massG[name][i]!;
	for (let i = 0; i < total.length; i++) total[i]! /= 1 - copper[i]! + freeCopper[i]!;
	return total;
}

function addShare(sum: Float64Array, own: Float64Array, parts: number): void {
	for (let i = 0; i < sum.length; i++) sum[i]! += own[i]! / parts;
}

/** Means (they add up) with the draws' own quantiles. */
function estimates<Name extends string>(
	names: readonly Name[],
	draws: Readonly<Record<Name, Float64Array>>,
): Readonly<Record<Name, Estimate>> {
	return perName(names, (name) => meanEstimateOf(draws[name]));
}

/**
 * The same; what is below its detection limit starts at nought and ends no lower than `missing`, all else reaches as far as it does where
 * there is no more of anything than its part.
 *
 * @param missing - largest share that each component below detection may hold whatever the draws say
 */
export function gradedEstimates(
	draws: GradeDraws,
	missing: ReadonlyMap<Graded, number>,
	parts: LeastParts,
): Readonly<Record<Graded, Estimate>> {
	const all = estimates(GRADED, draws);
	if (Object.keys(parts).length === 0) return all;
	const left = leftOfWhole(draws, parts);
	return perName(GRADED, (name): Estimate => {
		const { value, low, high } = all[name];
		const most = missing.get(name);
		if (most !== undefined) return { value, low: 0, high: Math.max(high, most), belowDetectionLimit: true };
		const least = estimateOf(leastShare(draws[name], parts[name], left));
		return { value, low: Math.min(low, least.low), high: Math.max(high, least.high) };
	});
}

/**
 * Components whose called area a blank of the same make-up could show as well (Currie's critical level, 5 % false alarms), with the share
 * that the product could hold whatever the draws say. That is never less than what counting leaves open: none among n pieces still leaves
 * 3 in n, 95 times in 100. And where the picture shows so few of such calls that the rates of false ones are not this picture's, they say
 * nothing of it, and every call may be real.
 *
 * The interval of such a component runs from nought to the draws' upper limit, the same one that it would have had if detected. A one-sided
 * 95 % limit in its place would lie lower just where the decision changes: of grades about there 92 to 94 in 100 would be held.
 *
 * Limit: a piece that was not met is taken to weigh what the pieces that were met weigh on average.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586; the blank's scatter comes from the drawn error rates. One upper limit on both sides of
 *   the decision: Feldman and Cousins, Phys. Rev. D 57 (1998) 3873 (from memory). Three in n: Hanley and Lippman-Hand, JAMA 249 (1983)
 *   1743 (from memory)
 */
function belowDetection(
	calls: Calls,
	{ blankMm2, calledMassG, massG }: SpreadArrays,
	pieces: number,
): ReadonlyMap<Graded, number> {
	const below = new Map<Graded, number>();
	const uncounted = 3 / Math.max(1, pieces);
	for (const component of COMPONENTS) {
		const { calledMm2, criticalMm2 } = calls[component];
		if (calledMm2 > criticalMm2) continue;
		const blank = blankMm2[component].slice();
		const isUnlikeRates = calledMm2 < quantileWithin(blank, blank.length, 0.025);
		const most = Math.min(1, Math.max(uncounted, isUnlikeRates ? shareOfCalls(calledMassG[component], massG) : 0));
		below.set(component, most);
		if (component === 'copper') below.set('freeCopper', most);
	}
	return below;
}

/** Area called each component, over all photos, and the area from which on that tells it from a blank: Currie's critical level. */
type Calls = Readonly<Record<Component, { readonly calledMm2: number; readonly criticalMm2: number }>>;

function callsOf(called: readonly SpreadDraws['calledMm2'][], { blankMm2 }: SpreadArrays): Calls {
	return perName(COMPONENTS, (component) => ({
		calledMm2: called.reduce((sum, photo) => sum + photo[component], 0),
		criticalMm2: quantileWithin(blankMm2[component].slice(), blankMm2[component].length, 0.95),
	}));
}

/** What calls say of a share goes with how far they are above a blank's mean; locked copper is none of it. */
function toldFrom(calls: Calls, { blankMm2 }: SpreadArrays, draws: GradeDraws): ToldFrom {
	return knownPerName(COMPONENTS, (component) => {
		const { calledMm2, criticalMm2 } = calls[component];
		if (calledMm2 <= criticalMm2) return undefined;
		const above = (calledMm2 - criticalMm2) / (calledMm2 - meanOf(blankMm2[component]));
		const seen = meanOf(draws[component === 'copper' ? 'freeCopper' : component]);
		return meanOf(draws[component]) - Math.min(1, above) * seen;
	});
}

/** What is below detection where the material says that other pieces hold copper: then there is some wherever these were detected. */
function withAlloys(below: ReadonlyMap<Graded, number>, { classes }: Material): ReadonlyMap<Graded, number> {
	const isAlloyed = (['aluminium', 'insulation', 'other'] as const).some(
		(name) => classes[name].copperFraction.value > 0 && !below.has(name),
	);
	return isAlloyed ? new Map([...below].filter(([name]) => name !== 'copper' && name !== 'freeCopper')) : below;
}

/** Upper 95 % limit of a component's share of the mass if every call of it is real. */
function shareOfCalls(calledMassG: Float64Array, massG: ClassDraws): number {
	const shares = new Float64Array(calledMassG.length);
	const masses = MATERIAL_CLASSES.map((name) => massG[name]);
	for (let i = 0; i < shares.length; i++) {
		let all = 0;
		for (let c = 0; c < masses.length; c++) all += masses[c]![i]!;
		shares[i] = all > 0 ? calledMassG[i]! / all : 0;
	}
	return quantileWithin(shares, shares.length, 0.975);
}

/** Pieces that were looked at, of one component or of all; several photos of one spread show the same ones. */
export function countPieces(spreads: readonly (readonly SpreadReading[])[], component?: Graded): number {
	const classes =
		component === undefined ? MATERIAL_CLASSES : CLASSES_OF[component === 'freeCopper' ? 'copper' : component];
	const piecesOn = ({ pieces }: SpreadReading) => classes.reduce((sum, name) => sum + pieces[name].count, 0);
	return spreads.reduce((sum, photos) => sum + Math.max(...photos.map(piecesOn)), 0);
}

/** A product's component draws in the shape the balance takes. */
export function componentDraws(grade: ProductGrade): Readonly<Record<Component, Float64Array>> {
	const { copper, aluminium, insulation, other } = grade.draws;
	return { copper, aluminium, insulation, other };
}
