import type { ErrorRatesByKind } from '../grade/errorRates';
import { gySampleMassG } from '../grade/gySampling';
import {
	type PlanLine,
	perSpreadUOf,
	type SpreadSampling,
	samplingPlan,
	spreadSamplingOf,
} from '../grade/samplingPlan';
import type { Material } from '../material/material';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { BUDGET_DRAWS, type Budget, budgetLinesOf, budgetOfRun, recoveryOf, type ToldFigures } from './budget';
import type { GradedRun } from './gradedRun';
import { type NextMeasurement, nextMeasurements, trialsOf } from './nextMeasurement';
import { withChecksInPlace } from './runChecks';

/** Why a figure's range is as wide as it is, and what would narrow it. */
export interface Explained {
	readonly budget: Budget;
	/** The best first. */
	readonly next: readonly NextMeasurement[];
}

/** A product's copper grade explained, with its sampling. */
export interface ExplainedProduct extends Explained {
	readonly sampling: SpreadSampling;
	/** Standard deviation of one spread's grade that the plan goes by: counting pieces, or the seen scatter where that is clearly larger. */
	readonly perSpreadU: number;
	/** Standard deviation of the grade that more spreads do not shrink. */
	readonly otherU: number;
	readonly plan: readonly PlanLine[];
	/**
	 * By Gy's formula: grams to spread so that the smaller part, copper or the rest, is known to a tenth of itself, 95 times in 100,
	 * by largest piece. A tenth of a rich product's copper would be no aim at all.
	 */
	readonly beforehand: readonly { readonly topSizeMm: number; readonly massG: number }[];
}

/** A run explained: products by id, and the recovery of copper in the concentrates where it is determined. */
export interface ExplainedRun {
	readonly products: Readonly<Record<string, ExplainedProduct>>;
	/** `unlessLost`: nothing says that what left is all that was fed. */
	readonly recovery?: Explained & { readonly unlessLost: boolean };
}

/**
 * Explain every product's copper grade and the run's copper recovery; see `budgetOfRun`.
 *
 * @param told - the run as worked out for all to see: the very figures that are explained here
 */
export function explainRun(
	given: GradedRun,
	material: Material,
	errorRates: ErrorRatesByKind,
	told: ToldFigures,
): ExplainedRun {
	const run = withChecksInPlace(given);
	const { copperGrade, recovery, today } = budgetOfRun(run, material, errorRates, { told });
	const trials = trialsOf(run, today, material, errorRates, { draws: BUDGET_DRAWS });
	return {
		products: Object.fromEntries(
			run.products.flatMap(({ id, spreads }) => {
				const budget = copperGrade[id];
				if (budget === undefined) return [];
				const own = trials.filter(({ productId }) => productId === id);
				const next = nextMeasurements(budget, today, own, ({ gradeDraws }) => gradeDraws[id]?.copper);
				return [[id, explainedProduct(budget, next, spreads, material)]];
			}),
		),
		...(recovery === undefined
			? {}
			: {
					recovery: {
						budget: recovery,
						unlessLost: told.account.closure === undefined,
						next: nextMeasurements(recovery, today, trials, (worked) => recoveryOf(run, worked)?.draws),
					},
				}),
	};
}

/**
 * How one product's copper grade would narrow with more spreads: what its `explainRun` says of it, without the rest of the run.
 *
 * @returns undefined where nothing of the product was graded
 */
export function copperNarrowingOf(
	given: GradedRun,
	id: string,
	material: Material,
	errorRates: ErrorRatesByKind,
): Pick<ExplainedProduct, 'perSpreadU' | 'otherU'> | undefined {
	const run = withChecksInPlace(given);
	const lines = budgetLinesOf(run, id, material, errorRates);
	const spreads = run.products.find((product) => product.id === id)?.spreads;
	if (lines === undefined || spreads === undefined) return undefined;
	return { perSpreadU: perSpreadUOf(spreadSamplingOf(spreads, material)), otherU: otherUOf(lines) };
}

/** What is not sampling. */
function otherUOf(lines: Budget['lines']): number {
	return Math.sqrt(lines.reduce((sum, { cause, u }) => (cause === 'sampling' ? sum : sum + u ** 2), 0));
}

function explainedProduct(
	budget: Budget,
	next: readonly NextMeasurement[],
	spreads: GradedRun['products'][number]['spreads'],
	material: Material,
): ExplainedProduct {
	const sampling = spreadSamplingOf(spreads, material);
	const perSpreadU = perSpreadUOf(sampling);
	const otherU = otherUOf(budget.lines);
	return {
		budget,
		next,
		sampling,
		perSpreadU,
		otherU,
		plan: samplingPlan(sampling.spreadMassG, perSpreadU, otherU),
		beforehand: beforehandOf(budget.figure.value, material),
	};
}

/** Largest sizes that the table lists, mm, and the relative standard uncertainty it aims at. */
const TOP_SIZES_MM = [1, 2, 3, 5] as const;
const AIM_RELATIVE_U = 0.1 / COVERAGE_FACTOR;

function beforehandOf(copper: number, { classes }: Material): ExplainedProduct['beforehand'] {
	const [metal, plastic] = [classes.brightCopper.densityKgPerM3.value, classes.insulation.densityKgPerM3.value];
	const isLean = copper <= 0.5;
	// Gy's formula has no answer for pure copper or pure plastic
	const grade = Math.max(0.002, isLean ? copper : 1 - copper);
	const densityKgPerM3 = isLean ? { wanted: metal, rest: plastic } : { wanted: plastic, rest: metal };
	return TOP_SIZES_MM.map((topSizeMm) => ({
		topSizeMm,
		massG: gySampleMassG({ grade, topSizeMm, densityKgPerM3 }, AIM_RELATIVE_U),
	}));
}
