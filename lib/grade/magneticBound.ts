import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import type { Material } from '../material/material';
import { ONE_SIDED_FACTOR } from '../quantity/coverageFactor';
import { meanEstimateOf } from '../quantity/estimateOf';
import type { Estimate } from '../quantity/quantity';
import { type Check, checksOfKind, weighingU } from './checkEntry';
import { UNSEEN_PIECE } from './classTotals';
import type { GradeDraws } from './gradeDraws';

/** Upper limit for steel and whatever hung on it, as a share, beside what photos call other. */
export interface MagneticBound {
	readonly atMost: Estimate;
	readonly otherByPhotos?: Estimate;
}

/** @source Bolz and Tuve, Handbook of Tables for Applied Engineering Science (1973), as in `material/defaultMaterial.ts` */
const STEEL_KG_PER_M3 = 7860;

/**
 * What the magnet pulled bounds steel from above: plastic and copper hang on it, and it says nothing of brass or grit. It was pulled out of a sample
 * of the bin, so the bound is also that of a count of pieces, each as heavy as a lump that a granulator's screen leaves.
 *
 * @returns undefined without a magnet check
 * @source upper 95 % limit of a Poisson count: Garwood, Biometrika 28 (1936) 437 (from memory), by the chi-square distribution
 */
export function magneticBoundOf(
	checks: readonly Check[],
	photo: GradeDraws | undefined,
	{ classes }: Material,
): MagneticBound | undefined {
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
