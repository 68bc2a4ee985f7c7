import { GRADE_CAUSES, type GradeCause } from '../grade/causes';
import type { ErrorRatesByKind } from '../grade/errorRates';
import type { Material } from '../material/material';
import type { Estimate } from '../quantity/quantity';
import { type Drawn, ratioOfDrawn } from './drawn';
import { type GradedRun, type WorkedOutRun, workOutRun } from './gradedRun';
import { togetherOf } from './performance';

/** What a figure's interval is made of: the causes of a grade, and the weights. */
export const CAUSES = [...GRADE_CAUSES, 'weights'] as const;
export type Cause = GradeCause | 'weights';

/** One cause's part of a figure's uncertainty. */
export interface BudgetLine {
  readonly cause: Cause;
  /** Standard deviation of the figure if only this cause were uncertain. */
  readonly u: number;
  /** Its share of the sum of all causes' variances, 0 to 1. */
  readonly varianceShare: number;
}

/** A figure with what its interval is made of, largest first. */
export interface Budget {
  readonly figure: Estimate;
  /** Standard deviation with all causes at work together. */
  readonly u: number;
  readonly lines: readonly BudgetLine[];
}

/** Budgets of one run. */
export interface RunBudget {
  /** Copper grade from the photos, by product id; missing where nothing was graded. */
  readonly copperGrade: Readonly<Record<string, Budget>>;
  /** Recovery of copper in all concentrates together; missing where it is not determined. */
  readonly recovery?: Budget;
  /** The run worked out as it stands, with as many draws. */
  readonly today: WorkedOutRun;
}

/** Draws per cause: shares of variance repeat to about 5 % of themselves. */
export const BUDGET_DRAWS = 1000;

/**
 * Share each cause has in the uncertainty of every product's copper grade and of the run's copper recovery.
 *
 * The run is worked out once with everything uncertain, and once per cause with all others held at their best value. What is
 * left is that cause's own variance; shares are of the sum of these. Where causes act on each other the sum is not exactly
 * the whole, so the whole is given beside it.
 *
 * @source uncertainty budget: JCGM 100:2008 (GUM) 5.1.3; one cause at a time by Monte Carlo: JCGM 101:2008 B.1
 */
export function budgetOfRun(
  run: GradedRun,
  material: Material,
  errorRates: ErrorRatesByKind,
  { draws = BUDGET_DRAWS, seed }: { readonly draws?: number; readonly seed?: number } = {},
): RunBudget {
  const options = { draws, ...(seed === undefined ? {} : { seed }) };
  const whole = workOutRun(run, material, errorRates, options);
  const alone = new Map(
    CAUSES.map((cause) => {
      const still = CAUSES.filter((other) => other !== cause);
      return [cause, workOutRun(run, material, errorRates, { ...options, still })] as const;
    }),
  );
  const budgetOf = (figure: Estimate, draws: (worked: WorkedOutRun) => Float64Array | undefined): Budget => {
    const lines = CAUSES.map((cause) => ({ cause, u: spreadOf(draws(alone.get(cause)!)) }));
    const sum = lines.reduce((total, { u }) => total + u ** 2, 0);
    return {
      figure,
      u: spreadOf(draws(whole)),
      lines: lines
        .map(({ cause, u }) => ({ cause, u, varianceShare: sum > 0 ? u ** 2 / sum : 0 }))
        .sort((a, b) => b.varianceShare - a.varianceShare),
    };
  };
  const recovery = whole.account.together.concentrate?.recovery.copper;
  return {
    today: whole,
    copperGrade: Object.fromEntries(
      Object.entries(whole.grades).map(([id, { massFraction }]) => [
        id,
        budgetOf(massFraction.copper, ({ gradeDraws }) => gradeDraws[id]?.copper),
      ]),
    ),
    ...(recovery === undefined ? {} : { recovery: budgetOf(recovery, (worked) => recoveryOf(run, worked)?.draws) }),
  };
}

/** Recovery of copper in all concentrates together. */
export function recoveryOf(run: GradedRun, { draws }: WorkedOutRun): Drawn | undefined {
  const concentrates = run.products.flatMap(({ id, role }) => {
    const stream = draws.products[id];
    return role === 'concentrate' && stream !== undefined ? [stream] : [];
  });
  return ratioOfDrawn(togetherOf(concentrates).contentKg.copper, draws.feed.contentKg.copper);
}

/** Standard deviation of the draws that mean something; 0 where none does. */
function spreadOf(draws: Float64Array | undefined): number {
  const finite = (draws ?? new Float64Array()).filter(Number.isFinite);
  if (finite.length < 2) return 0;
  const mean = finite.reduce((sum, value) => sum + value, 0) / finite.length;
  return Math.sqrt(finite.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (finite.length - 1));
}
