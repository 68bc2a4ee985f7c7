import type { ErrorRatesByKind } from '../grade/errorRates';
import { lockedIsChecked } from '../grade/lockedCopper';
import { type PlanLine, type SpreadSampling, samplingPlan, spreadSamplingOf } from '../grade/samplingPlan';
import { withStrippedCopper } from '../grade/strippedCopper';
import type { Material } from '../material/material';
import { type Budget, budgetOfRun } from './budget';
import type { GradedRun } from './gradedRun';
import { type NextMeasurement, nextMeasurements } from './nextMeasurement';

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
}

/** A run explained: products by id, and the recovery of copper in the concentrates where it is determined. */
export interface ExplainedRun {
  readonly products: Readonly<Record<string, ExplainedProduct>>;
  readonly recovery?: Explained;
}

/** Explain every product's copper grade and the run's copper recovery; see `budgetOfRun`. */
export function explainRun(run: GradedRun, material: Material, errorRates: ErrorRatesByKind): ExplainedRun {
  const { copperGrade, recovery } = budgetOfRun(run, material, errorRates);
  const checks = run.products.flatMap((product) => product.checks ?? []);
  const isStripped = lockedIsChecked(withStrippedCopper(material, checks));
  const fewest = Math.min(...run.products.map(({ spreads }) => spreads.length).filter((count) => count > 0));
  return {
    products: Object.fromEntries(
      run.products.flatMap(({ id, spreads }) => {
        const budget = copperGrade[id];
        return budget === undefined ? [] : [[id, explainedProduct(budget, spreads, material, isStripped)]];
      }),
    ),
    ...(recovery === undefined
      ? {}
      : { recovery: { budget: recovery, next: nextMeasurements(recovery, fewest, isStripped) } }),
  };
}

function explainedProduct(
  budget: Budget,
  spreads: GradedRun['products'][number]['spreads'],
  material: Material,
  isStripped: boolean,
): ExplainedProduct {
  const sampling = spreadSamplingOf(spreads, material);
  // a scatter no larger than counting explains says nothing that counting does not say better
  const perSpreadU = sampling.isScattered ? (sampling.seenU ?? 0) : sampling.fundamentalU;
  const otherU = Math.sqrt(budget.lines.reduce((sum, { cause, u }) => (cause === 'sampling' ? sum : sum + u ** 2), 0));
  return {
    budget,
    next: nextMeasurements(budget, spreads.length, isStripped),
    sampling,
    perSpreadU,
    otherU,
    plan: samplingPlan(sampling.spreadMassG, perSpreadU, otherU),
  };
}
