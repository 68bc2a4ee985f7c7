import type { CheckedGrade } from '../grade/applyChecks';
import type { GradeDraws } from '../grade/gradeDraws';
import { componentDraws, gradedEstimates, type ProductGrade, type ToldFrom } from '../grade/gradeProduct';
import { type LeastParts, partsOfMissing } from '../grade/leastParts';
import { GRADED, type Graded } from '../material/classes';
import { ONE_SIDED_FACTOR } from '../quantity/coverageFactor';
import { meanEstimateOf } from '../quantity/estimateOf';
import type { Estimate } from '../quantity/quantity';
import { standardUncertaintyOf } from '../quantity/standardUncertainty';

/**
 * A product's grade as the balance takes it: from photos, put right by checks, or from checks alone.
 *
 * @param grade - what its photos say, if there are any
 * @param checked - the same with its checks taken in, if there are any
 * @returns shares of the dry product, 0 to 1; nothing where nothing is known
 */
export function balancedGradeOf(grade: ProductGrade | undefined, checked: CheckedGrade | undefined, seed: number) {
	if (grade === undefined) {
		if (checked === undefined) return {};
		const { value, low, high, belowDetectionLimit } = checked.combined;
		const copper = { value, low, high, ...(belowDetectionLimit === true ? { belowDetectionLimit } : {}) };
		// of what was measured only the part that is a share is left, and its width
		const inside = { value, u: Math.max(1e-6, standardUncertaintyOf({ value, low, high })) };
		return { grade: { copper: inside }, massFraction: { copper } };
	}
	const draws = checked?.draws ?? grade.draws;
	return {
		gradeDraws: componentDraws({ ...grade, draws }),
		freeCopperDraws: draws.freeCopper,
		...(draws === grade.draws
			? { massFraction: grade.tables.massFraction, leastParts: grade.leastParts }
			: checkedShares(grade, draws, checked?.combined, seed)),
	};
}

/**
 * A product's shares where checks moved the draws, if any still can't be told from nothing or from few pieces: copper by the critical level of
 * all its estimates together, the others as the photos had it, since no check looked at them. All else reaches as far as it does beside
 * that, but for copper, which the checks told whatever lies beside it.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586
 */
function checkedShares(
	{ tables, leastParts }: ProductGrade,
	draws: GradeDraws,
	copper: CheckedGrade['combined'] | undefined,
	seed: number,
): { readonly massFraction: Partial<Record<Graded, Estimate>>; readonly leastParts: LeastParts } {
	const isCopperTold = copper === undefined || copper.value > ONE_SIDED_FACTOR * copper.u;
	const missing = new Map(
		GRADED.flatMap((name): [Graded, number][] => {
			if (name === 'copper' || name === 'freeCopper') return isCopperTold ? [] : [[name, 0]];
			const { high, belowDetectionLimit } = tables.massFraction[name];
			return belowDetectionLimit === true ? [[name, high]] : [];
		}),
	);
	const { copper: _, freeCopper: __, ...ofOthers } = leastParts;
	const ofCopper = isCopperTold
		? {}
		: partsOfMissing(draws.copper.length, (name) => name === 'copper' || name === 'freeCopper', seed);
	const parts = { ...ofOthers, ...ofCopper };
	if (Object.keys(parts).length === 0) return { massFraction: {}, leastParts: {} };
	const { copper: whole, freeCopper, ...others } = gradedEstimates(draws, missing, parts);
	const massFraction = isCopperTold ? others : { copper: whole, freeCopper, ...others };
	return { massFraction, leastParts: parts };
}

/**
 * From which shares on a product's components are told from nothing: where checks moved the draws, copper by the critical level of all its
 * estimates together.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586
 */
export function toldFromOf({ toldFrom, draws }: ProductGrade, checked: CheckedGrade | undefined): ToldFrom {
	if (checked?.draws === undefined || checked.draws === draws) return toldFrom;
	return { ...toldFrom, copper: ONE_SIDED_FACTOR * checked.combined.u };
}

/** Copper locked in insulation, as a share of the dry product. */
export function lockedCopperOf({ copper, freeCopper }: GradeDraws): Estimate {
	const locked = copper.map((share, i) => Math.max(0, share - freeCopper[i]!));
	return meanEstimateOf(locked);
}
