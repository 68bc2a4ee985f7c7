import chisquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import { type Component, MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { meanOf, standardDeviationOf } from '../quantity/moments';
import { nominalMassG } from './samplingVariance';

/** How well one spread stands for its bin, by the pieces counted and by how the spreads differ. */
export interface SpreadSampling {
	/** The component's share of each spread by its areas and widths alone (copper without what is locked), 0 to 1. */
	readonly gradePerSpread: readonly number[];
	/** Mean mass on one spread by areas and widths, grams. */
	readonly spreadMassG: number;
	/** Standard deviation of one spread's grade that counting pieces gives (Gy's fundamental error). */
	readonly fundamentalU: number;
	/** Standard deviation between spreads as seen; absent with fewer than two. */
	readonly seenU?: number;
	/** The spreads differ more than counting explains, by a test that is wrong 5 times in 100. */
	readonly isScattered: boolean;
}

/** One line of the plan: with so many spreads, half the width of the 95 % interval of the grade. */
export interface PlanLine {
	readonly spreads: number;
	readonly massG: number;
	readonly samplingHalfWidth: number;
	/** With all other causes as they stand. */
	readonly halfWidth: number;
}

/**
 * Fundamental sampling error of a product's spreads beside the scatter between them.
 *
 * For pieces of class k with share x_k of the component and mass m: var g = sum m^2 (x_k - g)^2 / (sum m)^2, piece by piece. Never less than
 * n pieces that are all alike leave: none of another kind among them still leaves 3 in n.
 *
 * @param spreads - one list a spread, one reading a photo; the first photo of each spread counts
 * @source the sum over pieces is Gy's fundamental error before it is simplified; the two-part form for a liberated mix is
 *   g (1-g) [(1-g) m1 + g m2] / M (derived); three in n: Hanley and Lippman-Hand, JAMA 249 (1983) 1743 (from memory)
 */
export function spreadSamplingOf(
	spreads: readonly (readonly SpreadReading[])[],
	material: Material,
	component: Component = 'copper',
): SpreadSampling {
	const each = spreads.flatMap(([reading]) => (reading === undefined ? [] : [oneSpread(reading, material, component)]));
	if (each.length === 0) throw new RangeError('spreadSamplingOf needs at least one spread');
	const gradePerSpread = each.map(({ grade }) => grade);
	const fundamentalU = Math.sqrt(meanOf(each.map(({ variance }) => variance)));
	const seenU = each.length < 2 ? undefined : standardDeviationOf(gradePerSpread);
	const freedom = each.length - 1;
	return {
		gradePerSpread,
		spreadMassG: meanOf(each.map(({ massG }) => massG)),
		fundamentalU,
		...(seenU === undefined ? {} : { seenU }),
		// (n - 1) s^2 / sigma^2 follows chi-square
		isScattered:
			seenU !== undefined &&
			freedom * seenU ** 2 > chisquareQuantile(0.95, freedom) * Math.max(fundamentalU ** 2, 1e-12),
	};
}

/** Standard deviation of one spread's share to go by: a scatter no larger than counting explains says nothing that counting does not say better. */
export function perSpreadUOf({ isScattered, seenU, fundamentalU }: SpreadSampling): number {
	return isScattered ? (seenU ?? 0) : fundamentalU;
}

/** Share of a component in pieces of a class; what a copper class holds beside copper counts as other. */
function shareIn(name: MaterialClass, component: Component, { classes }: Material): number {
	const copper = classes[name].copperFraction.value;
	if (component === 'copper') return copper;
	const own = name === 'aluminium' || name === 'insulation' ? name : 'other';
	return own === component ? 1 - copper : 0;
}

function oneSpread(reading: SpreadReading, material: Material, component: Component) {
	const mass = new Map<MaterialClass, number>(
		MATERIAL_CLASSES.map((name) => [
			name,
			reading.blocks.reduce((sum, block) => sum + nominalMassG(block, name, material), 0),
		]),
	);
	const massG = [...mass.values()].reduce((sum, grams) => sum + grams, 0);
	const of = (name: MaterialClass) => shareIn(name, component, material);
	const grade = [...mass].reduce((sum, [name, grams]) => sum + grams * of(name), 0) / Math.max(massG, 1e-12);
	const variance = [...mass].reduce((sum, [name, grams]) => {
		const { count, meanWidthAreaMm3, weightedMeanWidthAreaMm3 } = reading.pieces[name];
		if (count === 0 || grams === 0) return sum;
		const floor = weightedMeanWidthAreaMm3 / (count * meanWidthAreaMm3);
		return sum + floor * (grams / massG) ** 2 * (of(name) - grade) ** 2;
	}, 0);
	const pieces = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
	// where all pieces are of one kind counting still leaves some of another
	return { grade, massG, variance: Math.max(variance, (UNCOUNTED_U / Math.max(1, pieces)) ** 2) };
}

/** Standard deviation, in pieces, of what none seen leaves open: three pieces at the end of a 95 % range. */
const UNCOUNTED_U = 3 / COVERAGE_FACTOR;

/** Numbers of spreads that the plan lists. */
const PLAN_SPREADS = [1, 2, 3, 4, 6, 8, 12, 20] as const;

/**
 * How narrow the grade gets with more spreads of the same size.
 *
 * @param perSpreadU - standard deviation of one spread's grade: counting or seen, whichever is larger
 * @param otherU - standard deviation of the grade from all causes that more spreads do not shrink
 */
export function samplingPlan(spreadMassG: number, perSpreadU: number, otherU: number): readonly PlanLine[] {
	return PLAN_SPREADS.map((spreads) => {
		const sampling = perSpreadU / Math.sqrt(spreads);
		return {
			spreads,
			massG: spreads * spreadMassG,
			samplingHalfWidth: COVERAGE_FACTOR * sampling,
			halfWidth: COVERAGE_FACTOR * Math.hypot(sampling, otherU),
		};
	});
}

/**
 * Spreads needed so that half the 95 % interval is at most `halfWidth`.
 *
 * @returns undefined where no number of spreads does it, because the other causes alone are wider
 */
export function spreadsNeeded(halfWidth: number, perSpreadU: number, otherU: number): number | undefined {
	const left = (halfWidth / COVERAGE_FACTOR) ** 2 - otherU ** 2;
	if (left <= 0) return undefined;
	return Math.max(1, Math.ceil(perSpreadU ** 2 / left));
}
