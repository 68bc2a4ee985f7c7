import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { ONE_SIDED_FACTOR } from '../quantity/coverageFactor';
import { meanEstimateOf } from '../quantity/estimateOf';
import { covarianceOf, standardDeviationOf } from '../quantity/moments';
import type { Estimate, Quantity } from '../quantity/quantity';
import { DEFAULT_DRAWS, type Random, seededRandom } from '../quantity/seededRandom';
import { shareEstimate } from '../quantity/shareEstimate';
import { standardUncertaintyOf } from '../quantity/standardUncertainty';
import { type Check, checksOfKind, weighingU } from './checkEntry';
import { UNSEEN_PIECE } from './classTotals';
import { type Combined, combineEstimates, deviationsApart } from './combineEstimates';
import { copperByDifferences } from './copperByDifferences';
import type { GradeDraws } from './gradeDraws';
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

type Displaced = Measured & ReturnType<typeof copperByDisplacement>;

/** A product's estimates side by side, and together. */
export interface CheckedGrade {
	readonly estimates: readonly CopperEstimate[];
	readonly combined: Combined & Estimate;
	/** Displacements that are left out wherever anything else tells the copper; absent where there are none. */
	readonly impossible?: readonly ImpossibleDensity[];
	/** Upper limit for steel and whatever hung on it; absent without a magnet check. */
	readonly magnetic?: { readonly atMost: Estimate; readonly otherByPhotos?: Estimate };
	/** Draws of the grade that the balance goes on with. */
	readonly draws?: GradeDraws;
}

/**
 * A product's copper by every way there is, and all ways together.
 *
 * From three weighed spreads on, the difference estimator takes the photos' place. Water displacement and laboratory stand beside it,
 * combined by inverse variance; where they differ by more than they admit all are widened until they agree. Photos and displacements rest on
 * the same densities, and these on the photos' aluminium: what errs alike in them counts once.
 *
 * @param photo - draws from the photos, hand sorts already learnt from; absent where nothing was photographed
 * @param material - with its locked copper as strips of the product found it
 * @param photoTold - the photos' copper as it is told, which may be below detection
 * @param densities - as the photos' masses were drawn with
 * @returns undefined where there is neither a photo nor a check that tells copper
 */
export function applyChecks(
	checks: readonly Check[],
	spreads: readonly (readonly SpreadReading[])[],
	photo: GradeDraws | undefined,
	material: Material,
	seed: number,
	photoTold?: Estimate,
	densities: Densities = densityDraws(material, photo?.copper.length ?? DEFAULT_DRAWS, seed),
): CheckedGrade | undefined {
	const byPicture =
		photo === undefined
			? undefined
			: (byDifferences(checks, spreads, photo, material, seed) ?? byPhotos(photo, photoTold));
	const assays = checksOfKind(checks, 'assay')
		.filter(({ component }) => component === 'copper')
		.map(({ share, u }): Measured => ({ origin: 'assay', value: share, u }));
	const displacements = checksOfKind(checks, 'displacement').map((check): Displaced => {
		return { origin: 'displacement', ...copperByDisplacement(check, densities, seed, photo) };
	});
	const others = [...(byPicture === undefined ? [] : [byPicture]), ...assays];
	const possible = displacements.filter((one) => !isImpossible(one));
	// with nothing else to go by, what cannot be is still the nearest to what is
	const isAlone = others.length + possible.length === 0;
	const impossible = displacements.filter(isImpossible);
	const found: readonly Measured[] = [
		...(byPicture === undefined ? [] : [byPicture]),
		...(isAlone ? displacements : possible),
		...assays,
	];
	if (found.length === 0) return undefined;
	const correlation = (i: number, j: number) => correlationOf(found[i]!.draws, found[j]!.draws);
	const together = combineEstimates(found, correlation);
	const isPhotosAlone = found.length === 1 && found[0]!.origin === 'photos';
	const count = photo?.copper.length ?? DEFAULT_DRAWS;
	const random = (purpose: string) => seededRandom(seed, purpose, JSON.stringify(checks));
	const target = isPhotosAlone ? undefined : shareEstimate(together, count, random('checked grade'));
	const draws =
		target === undefined || photo === undefined
			? photo
			: reshaped(photo, target.draws, pullOfPhotos(found, together, correlation), random('beside photos'));
	const magnetic = magneticOf(checks, photo, material);
	const estimates = found.map(
		(one, i): CopperEstimate => ({
			origin: one.origin,
			u: one.u,
			...(one.interval ??
				toldOf(shareEstimate(one, DEFAULT_DRAWS, seededRandom(seed, 'one check', String(i))).estimate, one)),
			...apart(
				one,
				found.filter((_, j) => j !== i),
			),
		}),
	);
	return {
		estimates,
		combined: { ...together, ...(target === undefined ? found[0]!.interval! : toldOf(target.estimate, together)) },
		...(impossible.length === 0 ? {} : { impossible: impossible.map((one) => impossibleOf(one, isAlone)) }),
		...(magnetic === undefined ? {} : { magnetic }),
		...(draws === undefined ? {} : { draws }),
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

/** Whether a displacement's copper lies outside 0 to 1, or its density above copper's, by more than it can be off. */
function isImpossible({ value, u, denserBy }: Displaced): boolean {
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

/**
 * Draws with the copper put where the checks have it, in an order that goes with the photos' as far as these count: so what products
 * share by their photos stays shared, and what a check adds is its own.
 */
function reshaped(photo: GradeDraws, target: Float64Array, pull: number, random: Random): GradeDraws {
	const beside = Math.sqrt(1 - pull ** 2);
	const places = new Float64Array(photo.copper.length);
	const normals = places.map(() => random.normal()).sort();
	ranked(photo.copper).forEach((i, rank) => {
		places[i] = pull * normals[rank]!;
	});
	const order = ranked(places.map((place) => place + beside * random.normal()));
	const sorted = target.slice().sort();
	const copper = new Float64Array(photo.copper.length);
	order.forEach((i, rank) => {
		copper[i] = sorted[rank]!;
	});
	const rest = (draws: Float64Array) =>
		draws.map((share, i) => (photo.copper[i]! < 1 ? (share * (1 - copper[i]!)) / (1 - photo.copper[i]!) : 0));
	return {
		copper,
		freeCopper: photo.freeCopper.map((share, i) =>
			photo.copper[i]! > 0 ? (share * copper[i]!) / photo.copper[i]! : 0,
		),
		aluminium: rest(photo.aluminium),
		insulation: rest(photo.insulation),
		other: rest(photo.other),
	};
}

/** Places of the draws from the least to the largest. */
function ranked(draws: Float64Array): number[] {
	return Array.from(draws.keys()).sort((a, b) => draws[a]! - draws[b]!);
}

/** @source Bolz and Tuve, Handbook of Tables for Applied Engineering Science (1973), as in `material/defaultMaterial.ts` */
const STEEL_KG_PER_M3 = 7860;

/**
 * What the magnet pulled bounds steel from above: plastic and copper hang on it, and it says nothing of brass or grit. It was pulled out of a sample
 * of the bin, so the bound is also that of a count of pieces, each as heavy as a lump that a granulator's screen leaves.
 *
 * @source upper 95 % limit of a Poisson count: Garwood, Biometrika 28 (1936) 437 (from memory), by the chi-square distribution
 */
function magneticOf(
	checks: readonly Check[],
	photo: GradeDraws | undefined,
	{ classes }: Material,
): CheckedGrade['magnetic'] {
	const pulls = checksOfKind(checks, 'magnet');
	if (pulls.length === 0) return undefined;
	const sample = pulls.reduce((sum, pull) => sum + pull.sample.massG, 0);
	const pulled = pulls.reduce((sum, pull) => sum + pull.pulled.massG, 0);
	const u = Math.hypot(...pulls.map((pull) => weighingU(pull.pulled))) / sample;
	const value = pulled / sample;
	const { widthMm, areaMm2 } = UNSEEN_PIECE.other;
	const pieceG = STEEL_KG_PER_M3 * classes.other.shape.factor.value * widthMm * areaMm2 * 1e-6;
	const counted = (chiSquareQuantile(0.95, 2 * (pulled / pieceG + 1)) / 2) * pieceG;
	const high = value + Math.hypot(ONE_SIDED_FACTOR * u, counted / sample - value);
	return {
		atMost: { value, low: 0, high: Math.min(1, high) },
		...(photo === undefined ? {} : { otherByPhotos: meanEstimateOf(photo.other) }),
	};
}
