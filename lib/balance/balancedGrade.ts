import { type CheckedGrade, CRITICAL } from '../grade/applyChecks';
import type { GradeDraws } from '../grade/gradeDraws';
import { componentDraws, gradedEstimates, type ProductGrade, type ToldFrom } from '../grade/gradeProduct';
import { GRADED, type Graded } from '../material/classes';
import { meanEstimateOf } from '../quantity/estimateOf';
import type { Estimate } from '../quantity/quantity';

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
		const inside = { value, u: Math.max(1e-6, (high - low) / (2 * 1.96)) };
		return { grade: { copper: inside }, massFraction: { copper } };
	}
	const draws = checked?.draws ?? grade.draws;
	return {
		gradeDraws: componentDraws({ ...grade, draws }),
		freeCopperDraws: draws.freeCopper,
		massFraction: draws === grade.draws ? grade.tables.massFraction : notTold(grade, draws, checked?.combined, seed),
	};
}

/**
 * A product's shares where checks moved the draws, if any still can't be told from nothing: copper by the critical level of all its estimates
 * together, the others as the photos had it, since no check looked at them. All else reaches up to what it is beside that, but for copper,
 * which the checks told whatever lies beside it.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586
 */
function notTold(
	{ tables }: ProductGrade,
	draws: GradeDraws,
	copper: CheckedGrade['combined'] | undefined,
	seed: number,
): Partial<Record<Graded, Estimate>> {
	const isCopperTold = copper === undefined || copper.value > CRITICAL * copper.u;
	const missing = new Map(
		GRADED.flatMap((name): [Graded, number][] => {
			if (name === 'copper' || name === 'freeCopper') return isCopperTold ? [] : [[name, 0]];
			const { high, belowDetectionLimit } = tables.massFraction[name];
			return belowDetectionLimit === true ? [[name, high]] : [];
		}),
	);
	if (missing.size === 0) return {};
	const { copper: whole, freeCopper, ...others } = gradedEstimates(draws, missing, seed);
	return isCopperTold ? others : { copper: whole, freeCopper, ...others };
}

/**
 * From which shares on a product's components are told from nothing: where checks moved the draws, copper by the critical level of all its
 * estimates together.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586
 */
export function toldFromOf({ toldFrom, draws }: ProductGrade, checked: CheckedGrade | undefined): ToldFrom {
	if (checked?.draws === undefined || checked.draws === draws) return toldFrom;
	return { ...toldFrom, copper: CRITICAL * checked.combined.u };
}

/** Copper locked in insulation, as a share of the dry product. */
export function lockedCopperOf({ copper, freeCopper }: GradeDraws): Estimate {
	const locked = copper.map((share, i) => Math.max(0, share - freeCopper[i]!));
	return meanEstimateOf(locked);
}
