import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { ONE_SIDED_FACTOR } from '../quantity/coverageFactor';
import { meanEstimateOf } from '../quantity/estimateOf';
import { covarianceOf, standardDeviationOf } from '../quantity/moments';
import type { Estimate, Quantity } from '../quantity/quantity';
import { DEFAULT_DRAWS, seededRandom } from '../quantity/seededRandom';
import { shareEstimate } from '../quantity/shareEstimate';
import { standardUncertaintyOf } from '../quantity/standardUncertainty';
import { type Check, checksOfKind } from './checkEntry';
import { withCopper } from './checkedDraws';
import { type Combined, combineEstimates, deviationsApart } from './combineEstimates';
import { copperByDifferences } from './copperByDifferences';
import type { GradeDraws } from './gradeDraws';
import { type MagneticBound, magneticBoundOf } from './magneticBound';
import { sampleUOf } from './sampleU';
import { copperByDisplacement, type Densities, densityDraws } from './waterDisplacement';

/** Where an estimate of a product's copper is from. */
export type EstimateOrigin = 'photos' | 'differences' | 'displacement' | 'assay';

/** One estimate of all copper in a product, by one way. */
export interface CopperEstimate extends Quantity, Estimate {
	readonly origin: EstimateOrigin;
	/** Standard deviations from all other estimates taken together; absent with a single one. */
	readonly deviations?: number;
}

/** A water displacement whose density no mixture of the material's parts can have. */
export interface ImpossibleDensity {
	readonly densityKgPerM3: number;
	/** Denser than copper; else lighter than the insulation. */
	readonly isTooDense: boolean;
	/** Nothing else tells the product's copper, so it stands all the same. */
	readonly isAlone?: true;
}

/** An estimate as it was measured, on a scale that may leave 0 to 1. */
interface Measured extends Quantity {
	readonly origin: EstimateOrigin;
	/** Its interval where that is known otherwise than by `u`. */
	readonly interval?: Estimate;
	/** In the worlds of the photos, where it goes with them. */
	readonly draws?: Float64Array;
}

type Displaced = Measured & ReturnType<typeof copperByDisplacement> & { readonly isImpossible: boolean };

/** A product's estimates side by side, and together. */
export interface CheckedGrade {
	readonly estimates: readonly CopperEstimate[];
	readonly combined: Combined & Estimate;
	/** Displacements that are left out wherever anything else tells the copper; absent where there are none. */
	readonly impossible?: readonly ImpossibleDensity[];
	/** Upper limit for steel and whatever hung on it; absent without a magnet check. */
	readonly magnetic?: MagneticBound;
	/** Draws of the grade that the balance goes on with. */
	readonly draws?: GradeDraws;
}

/** A product as it is set beside its checks. */
export interface ProductToCheck {
	readonly checks: readonly Check[];
	/** One list a spread, one reading a photo. */
	readonly spreads: readonly (readonly SpreadReading[])[];
	/** Draws from the photos, hand sorts already learnt from; undefined where nothing was photographed. */
	readonly photo: GradeDraws | undefined;
	/** The photos' copper as it is told, which may be below detection. */
	readonly told?: Estimate | undefined;
	/** With its locked copper as strips of the product found it. */
	readonly material: Material;
	/** As the photos' masses were drawn with; drawn anew where absent. */
	readonly densities?: Densities;
	readonly seed: number;
}

/**
 * A product's copper by every way there is, and all ways together.
 *
 * From three weighed spreads on, the difference estimator takes the photos' place. Water displacement and laboratory stand beside it,
 * combined by inverse variance; where they differ by more than they admit all are widened until they agree. Photos and displacements rest on
 * the same densities, and these on the photos' aluminium: what errs alike in them counts once.
 *
 * @returns undefined where there is neither a photo nor a check that tells copper
 */
export function applyChecks(product: ProductToCheck): CheckedGrade | undefined {
	const { checks, photo, material, seed } = product;
	const { found, impossible } = measuredOf(product);
	if (found.length === 0) return undefined;
	const magnetic = magneticBoundOf(checks, photo, material);
	const { combined, draws } = allTogether(found, product);
	return {
		estimates: found.map((one, i): CopperEstimate => {
			const others = found.filter((_, j) => j !== i);
			const random = seededRandom(seed, 'one check', String(i));
			const interval = one.interval ?? toldOf(shareEstimate(one, DEFAULT_DRAWS, random).estimate, one);
			return { origin: one.origin, u: one.u, ...interval, ...apart(one, others) };
		}),
		combined,
		...(impossible.length === 0 ? {} : { impossible }),
		...(magnetic === undefined ? {} : { magnetic }),
		...(draws === undefined ? {} : { draws }),
	};
}

/** Every estimate that counts, the pictures' first where there is one, and what was measured that can't be. */
function measuredOf({ checks, spreads, photo, told, material, densities, seed }: ProductToCheck): {
	readonly found: readonly Measured[];
	readonly impossible: readonly ImpossibleDensity[];
} {
	const byPicture =
		photo === undefined ? [] : [byDifferences(checks, spreads, photo, material, seed) ?? byPhotos(photo, told)];
	const assays = checksOfKind(checks, 'assay')
		.filter(({ component }) => component === 'copper')
		.map(({ share, u }): Measured => ({ origin: 'assay', value: share, u }));
	const drawn = densities ?? densityDraws(material, photo?.copper.length ?? DEFAULT_DRAWS, seed);
	const displacements = checksOfKind(checks, 'displacement').map((check): Displaced => {
		const found = copperByDisplacement(check, drawn, seed, photo);
		const sampling = sampleUOf(check.dry.massG, found.value, spreads, material);
		const random = seededRandom(seed, 'displaced sample', JSON.stringify(check));
		const draws = found.draws.map((share) => share + sampling * random.normal());
		const u = Math.hypot(found.u, sampling);
		return { origin: 'displacement', ...found, u, draws, isImpossible: isImpossible(found) };
	});
	const possible = displacements.filter((one) => !one.isImpossible);
	// with nothing else to go by, what cannot be is still the nearest to what is
	const isAlone = byPicture.length + assays.length + possible.length === 0;
	return {
		found: [...byPicture, ...(isAlone ? displacements : possible), ...assays],
		impossible: displacements.filter((one) => one.isImpossible).map((one) => impossibleOf(one, isAlone)),
	};
}

/** The estimates in one figure, and the photos' draws with that figure in the place of theirs. */
function allTogether(
	found: readonly Measured[],
	{ checks, photo, seed }: ProductToCheck,
): Pick<CheckedGrade, 'combined'> & { readonly draws: GradeDraws | undefined } {
	const correlation = (i: number, j: number) => correlationOf(found[i]!.draws, found[j]!.draws);
	const together = combineEstimates(found, correlation);
	const [first] = found;
	if (found.length === 1 && first?.origin === 'photos') {
		return { combined: { ...together, ...first.interval! }, draws: photo };
	}
	const random = (purpose: string) => seededRandom(seed, purpose, JSON.stringify(checks));
	const target = shareEstimate(together, photo?.copper.length ?? DEFAULT_DRAWS, random('checked grade'));
	const pull = pullOfPhotos(found, together, correlation);
	return {
		combined: { ...together, ...toldOf(target.estimate, together) },
		draws: photo && withCopper(photo, target.draws, pull, random('beside photos')),
	};
}

/**
 * One estimate or all together as a figure: below the critical level a range from nought.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586
 */
function toldOf(estimate: Estimate, { value, u }: Quantity): Estimate {
	return value > ONE_SIDED_FACTOR * u ? estimate : { ...estimate, low: 0, belowDetectionLimit: true };
}

/** Beyond this many standard uncertainties outside 0 to 1 a share was not measured but slipped: one time in 700 by chance. */
const IMPOSSIBLE_AT = 3;

/** Whether a displaced sample's copper lies outside 0 to 1, or its density above copper's, by more than was measured wrong. */
function isImpossible({ value, u, denserBy }: ReturnType<typeof copperByDisplacement>): boolean {
	return denserBy > IMPOSSIBLE_AT || value - IMPOSSIBLE_AT * u > 1 || value + IMPOSSIBLE_AT * u < 0;
}

function impossibleOf({ densityKgPerM3, value, denserBy }: Displaced, isAlone: boolean): ImpossibleDensity {
	return { densityKgPerM3, isTooDense: value > 1 || denserBy > IMPOSSIBLE_AT, ...(isAlone ? { isAlone } : {}) };
}

/** Uncertainty from the width of the interval: a few stray draws would blow up a standard deviation and hide a disagreement. */
function byPhotos({ copper }: GradeDraws, told: Estimate | undefined): Measured {
	const measured = byWidth(meanEstimateOf(copper));
	return { origin: 'photos', draws: copper, ...measured, ...(told?.belowDetectionLimit ? { interval: told } : {}) };
}

function byWidth(interval: Estimate): Quantity & { readonly interval: Estimate } {
	return { value: interval.value, u: Math.max(1e-6, standardUncertaintyOf(interval)), interval };
}

/** Few differences know their own scatter badly: the uncertainty is that of the interval, so that what rests on it is no narrower. */
function byDifferences(...given: Parameters<typeof copperByDifferences>): Measured | undefined {
	const found = copperByDifferences(...given);
	return found && { origin: 'differences', ...byWidth(found) };
}

function apart(own: Quantity, others: readonly Quantity[]): { readonly deviations?: number } {
	return others.length === 0 ? {} : { deviations: deviationsApart(own, combineEstimates(others)) };
}

/** Of two estimates in the same worlds; nought where one is not told by worlds. */
function correlationOf(one: Float64Array | undefined, other: Float64Array | undefined): number {
	if (one === undefined || other === undefined) return 0;
	const sd = standardDeviationOf(one) * standardDeviationOf(other);
	return sd > 0 ? covarianceOf(one, other) / sd : 0;
}

/**
 * Correlation of the combined copper with the photos' own, 0 to 1: of every estimate its weight in the mean times its standard uncertainty, as
 * far as it goes with the photos, over that of the mean. Nought where weighed spreads stand in the photos' place.
 */
function pullOfPhotos(
	found: readonly Measured[],
	{ u, excessU }: Combined,
	correlation: (i: number, j: number) => number,
): number {
	if (found[0]?.origin !== 'photos') return 0;
	const weights = found.map((one) => 1 / (one.u ** 2 + excessU ** 2));
	const sum = weights.reduce((total, weight) => total + weight, 0);
	const alike = found.map((one, j) => weights[j]! * one.u * (j === 0 ? 1 : correlation(0, j)));
	return Math.max(0, Math.min(1, alike.reduce((total, part) => total + part, 0) / sum / u));
}
