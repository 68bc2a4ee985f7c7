import { type GradeCause, holdStill } from '../grade/causes';
import type { ErrorRatesByKind } from '../grade/errorRates';
import type { GradeDraws } from '../grade/gradeDraws';
import { componentDraws, type GradeTables, gradeProduct, type ProductGrade } from '../grade/gradeProduct';
import { drawSharedErrors } from '../grade/sharedErrors';
import type { Component, ProductRole } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import type { Quantity } from '../quantity/quantity';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '../quantity/seededRandom';
import { type AccountDraws, accountRun } from './account';
import { dryMassOf } from './dryMass';
import type { RunAccount } from './runAccount';
import type { Weighing } from './weighing';

/** One bin of a run: its weighing and what its photos said, where there are any. */
export interface GradedProduct {
  readonly id: string;
  readonly name: string;
  readonly role: ProductRole;
  readonly weighing?: Weighing;
  /** One list a spread, one reading a photo; empty where nothing was photographed or graded. */
  readonly spreads: readonly (readonly SpreadReading[])[];
}

/** A run as weighed and photographed. */
export interface GradedRun {
  /** The run's name: keeps its own sampling and weighing errors apart from those of other runs. */
  readonly runId: string;
  readonly feed?: {
    readonly weighing?: Weighing;
    /** Mass fractions of the dry feed known from elsewhere, a laboratory's for example. */
    readonly grade?: Readonly<Partial<Record<Component, Quantity>>>;
  };
  /** What is known to have left without being caught in a bin. */
  readonly loss?: { readonly weighing: Weighing };
  readonly products: readonly GradedProduct[];
  /** Relative standard uncertainty of each named scale's own error. */
  readonly scales?: Readonly<Record<string, number>>;
}

/** A run worked out: each product's own grade by id, the reconciled account, and the draws for sums that go on. */
export interface WorkedOutRun {
  readonly grades: Readonly<Record<string, GradeTables>>;
  /** The draws behind `grades`, before weights and balance touch them. */
  readonly gradeDraws: Readonly<Record<string, GradeDraws>>;
  readonly account: RunAccount;
  readonly draws: AccountDraws;
}

/**
 * Grade all products of a run with one set of shared errors and balance them with their weights.
 *
 * Densities, shape factors and error rates are drawn once for the whole run: they do not average out over bins.
 *
 * @param options.still - causes held at their best value, for the budget; `'weights'` takes nearly all uncertainty off the weights
 * @throws TrayError when a weighing cannot be (tare above gross) or there is no product
 */
export function workOutRun(
  run: GradedRun,
  material: Material,
  errorRates: ErrorRatesByKind,
  {
    draws = DEFAULT_DRAWS,
    seed = DEFAULT_SEED,
    still = [],
  }: { readonly draws?: number; readonly seed?: number; readonly still?: readonly (GradeCause | 'weights')[] } = {},
): WorkedOutRun {
  const shared = holdStill(
    drawSharedErrors(material, errorRates, draws, seed),
    still.filter((cause) => cause !== 'weights'),
  );
  const grades = new Map<string, ProductGrade>(
    run.products.flatMap(({ id, spreads }, order) =>
      // named by run and place: two runs share no sampling error, and ids may come from anywhere
      spreads.length > 0 ? [[id, gradeProduct(spreads, material, shared, `${run.runId}, product ${order + 1}`)]] : [],
    ),
  );
  const massOf = (weighing: Weighing | undefined) =>
    weighing === undefined ? {} : weighed(weighing, still.includes('weights'));
  const { account, draws: accountDraws } = accountRun({
    runId: run.runId,
    seed,
    drawCount: draws,
    ...(run.feed === undefined
      ? {}
      : { feed: { ...massOf(run.feed.weighing), ...(run.feed.grade === undefined ? {} : { grade: run.feed.grade }) } }),
    ...(run.loss === undefined ? {} : { statedLoss: massOf(run.loss.weighing) }),
    products: run.products.map(({ id, name, role, weighing }) => {
      const grade = grades.get(id);
      return {
        id,
        name,
        role,
        ...massOf(weighing),
        ...(grade === undefined
          ? {}
          : {
              gradeDraws: componentDraws(grade),
              freeCopperDraws: grade.draws.freeCopper,
              massFraction: grade.tables.massFraction,
            }),
      };
    }),
    ...(run.scales === undefined ? {} : { scales: run.scales }),
  });
  return {
    grades: Object.fromEntries([...grades].map(([id, { tables }]) => [id, tables])),
    gradeDraws: Object.fromEntries([...grades].map(([id, grade]) => [id, grade.draws])),
    account,
    draws: accountDraws,
  };
}

/** A thousandth of the weights' uncertainty stays when they are held still: the balance needs to know which to trust. */
const HELD_WEIGHT = 1e-3;

function weighed(weighing: Weighing, isHeld: boolean): { dryMassKg: Quantity; scale?: string } {
  const { value, u } = dryMassOf(weighing);
  if (isHeld) return { dryMassKg: { value, u: HELD_WEIGHT * u } };
  return { dryMassKg: { value, u }, ...(weighing.scale === undefined ? {} : { scale: weighing.scale }) };
}
