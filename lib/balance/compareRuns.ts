import type { Component, ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import type { AccountDraws } from './account';
import { COMPARED_FIGURES, type ComparedFigure } from './comparedFigures';
import { type Settle, settleOf } from './compareSettle';
import { cannotCompareOf } from './compareWarnings';
import { feedWith, productCeiling } from './detectionCeiling';
import { type Drawn, drawnFrom, estimateOfDrawn } from './drawn';
import { performanceOf, togetherOf } from './performance';
import type { RunAccount } from './runAccount';

/** A run that was worked out, ready to be set against another one. */
export interface ComparableRun {
  readonly name: string;
  readonly account: RunAccount;
  readonly draws: AccountDraws;
  /** Name of the lot it was fed from. */
  readonly lot?: string;
  /** Name of the material its photos were read with. */
  readonly material?: string;
  /** The first run after a change, without washing the table through. */
  readonly firstAfterChange?: boolean;
  /** How many spreads of each product were graded, by the product's id in the account. */
  readonly spreads?: Readonly<Record<string, number>>;
}

/** One figure of both runs and how much the second lies above the first. */
export interface Difference extends ComparedFigure {
  readonly base: Estimate;
  readonly other: Estimate;
  /**
   * Other minus base, from joint draws, so that what both runs share cancels. Where a figure is below detection its range reaches as
   * far as that figure's limit, and the value says nothing.
   */
  readonly difference: Estimate;
  /** Probability that the other run's figure is the larger one; missing where both are below detection. */
  readonly probabilityHigher?: number;
  /** Probability that the difference is an improvement; missing where higher is neither better nor worse. */
  readonly probabilityBetter?: number;
  /** The 95 % interval of the difference leaves out zero. */
  readonly isClear: boolean;
}

/** One run against the first one. */
export interface RunComparison {
  readonly base: string;
  readonly other: string;
  readonly differences: readonly Difference[];
  /** Figures that only one of the two runs has. */
  readonly notCompared: readonly ComparedFigure[];
  /** What would tell the runs apart by copper recovered, where that is open; `never` where no number of spreads worth laying would. */
  readonly settle?: Settle | 'never';
  /** What can't be compared and why, and what weakens the rest: plain sentences. */
  readonly warnings: readonly string[];
}

/**
 * Every run set against the first one: yields, grades, recoveries and losses of both, and each difference with its
 * 95 % interval.
 *
 * Draws of one index belong together in all runs (same densities, thicknesses, colour errors and scales), so errors that
 * the runs share cancel in the difference as far as they act alike; each run's own sampling and weighing errors do not.
 * Limit: the interval is about these two runs. How much a run at the same settings would differ from itself is not in
 * it; only repeated runs show that.
 *
 * @param runs - two or more, drawn with one seed and count; names all different
 * @throws RangeError when there are fewer than two runs, two of one name, or their draws don't belong together
 * @source JCGM 101:2008 6.4.9 and 7.4 (joint draws carry correlation); JCGM 102:2011 7
 */
export function compareRuns(runs: readonly ComparableRun[]): readonly RunComparison[] {
  const [base, ...others] = runs;
  if (base === undefined || others.length === 0) throw new RangeError('compareRuns needs at least two runs');
  if (new Set(runs.map(({ name }) => name)).size < runs.length)
    throw new RangeError('runs that are compared need names of their own');
  for (const { account } of others) {
    if (account.seed !== base.account.seed || account.drawCount !== base.account.drawCount)
      throw new RangeError('runs that are compared must be drawn with one seed and count');
  }
  return others.map((other) => ({
    base: base.name,
    other: other.name,
    differences: COMPARED_FIGURES.flatMap((figure) => {
      const difference = differenceOf(figure, figureOf(base, figure), figureOf(other, figure), {
        base: ceilingOf(base, figure),
        other: ceilingOf(other, figure),
      });
      return difference === undefined ? [] : [difference];
    }),
    notCompared: COMPARED_FIGURES.filter(
      (figure) => (figureOf(base, figure) === undefined) !== (figureOf(other, figure) === undefined),
    ),
    ...settled(base, other),
    warnings: cannotCompareOf(base, other),
  }));
}

/** What would settle the copper recovered, where its difference is open. */
function settled(base: ComparableRun, other: ComparableRun): Pick<RunComparison, 'settle'> {
  const [first, second] = [base, other].map((run) => figureOf(run, COMPARED_FIGURES[0]!));
  const difference = differenceOf(COMPARED_FIGURES[0]!, first, second);
  if (first === undefined || second === undefined || difference === undefined || difference.isClear) return {};
  const drawn = drawnFrom([second, first], (b, a) => b - a);
  const settle = settleOf(base, other, drawn, ({ spreads }, id) => spreads?.[id] ?? 0);
  return settle === undefined ? {} : { settle };
}

/**
 * The difference of one figure.
 *
 * @param base - draws aligned with those of `other`
 * @param ceilings - what a figure below detection could be at most
 * @returns undefined where either is missing
 */
export function differenceOf(
  figure: ComparedFigure,
  base: Drawn | undefined,
  other: Drawn | undefined,
  ceilings: { readonly base?: Drawn | undefined; readonly other?: Drawn | undefined } = {},
): Difference | undefined {
  if (base === undefined || other === undefined) return undefined;
  const minus = (more: Drawn, less: Drawn) => drawnFrom([more, less], (b, a) => b - a);
  const drawn = minus(other, base);
  const [first, second] = [estimateOfDrawn(base, ceilings.base), estimateOfDrawn(other, ceilings.other)];
  const told = estimateOfDrawn(drawn);
  if (first === undefined || second === undefined || told === undefined) return undefined;
  const least = ceilings.base && estimateOfDrawn(minus(other, ceilings.base));
  const most = ceilings.other && estimateOfDrawn(minus(ceilings.other, base));
  const difference = {
    ...told,
    low: Math.min(told.low, least?.low ?? told.low),
    high: Math.max(told.high, most?.high ?? told.high),
    ...(least === undefined && most === undefined ? {} : { belowDetectionLimit: true }),
  };
  const isTold = least === undefined || most === undefined;
  const probabilityHigher = shareAboveZero(drawn.draws);
  const better = figure.better === 'higher' ? probabilityHigher : 1 - probabilityHigher;
  return {
    ...figure,
    base: first,
    other: second,
    difference,
    ...(isTold ? { probabilityHigher } : {}),
    ...(figure.better === 'neither' || !isTold ? {} : { probabilityBetter: better }),
    isClear: difference.low > 0 || difference.high < 0,
  };
}

/** What a figure could be at most where the run's own account says that it can't be told from nothing; undefined elsewhere. */
function ceilingOf(run: ComparableRun, of: ComparedFigure): Drawn | undefined {
  const { stream, figure, component } = of;
  const { account, draws } = run;
  if (component === undefined || figure === 'yield' || figure === 'efficiency') return undefined;
  const group = stream === 'feed' ? undefined : account.together[stream];
  const found =
    stream === 'feed'
      ? account.feed.massFraction.reconciled[component]
      : (figure === 'grade' ? group?.massFraction : group?.recovery)?.[component];
  if (found?.belowDetectionLimit !== true) return undefined;
  const members = account.products.filter(({ role }) => stream === 'feed' || role === stream);
  const products = Object.fromEntries(
    members.map(({ id }) => [id, { ...draws.products[id]!, ...productCeiling(run, id) }]),
  );
  const feed = members.reduce((all, { id }) => feedWith(all, draws.products[id]!, products[id]!), draws.feed);
  return figureOf({ account, draws: { ...draws, feed, products: { ...draws.products, ...products } } }, of);
}

/** Share of the meaningful draws above zero; draws of exactly zero count half. */
function shareAboveZero(draws: Float64Array): number {
  let [above, count] = [0, 0];
  for (const draw of draws) {
    if (!Number.isFinite(draw)) continue;
    count++;
    above += draw > 0 ? 1 : draw === 0 ? 0.5 : 0;
  }
  return above / count;
}

/** One figure of a run as draws; undefined where it can't be worked out. */
export function figureOf(
  run: Pick<ComparableRun, 'account' | 'draws'>,
  { stream, figure, component }: Pick<ComparedFigure, 'stream' | 'figure' | 'component'>,
): Drawn | undefined {
  if (stream === 'feed') return component && run.draws.feed.massFraction[component];
  const group = groupDrawsOf(run, stream);
  if (group === undefined) return undefined;
  const { massFraction, performance } = group;
  if (figure === 'yield') return performance.yieldFraction;
  if (figure === 'efficiency') return performance.separationEfficiency;
  return component && (figure === 'grade' ? massFraction[component] : performance.recovery[component]);
}

/** All products of one role as if poured together; undefined where the run has none. */
function groupDrawsOf({ account, draws }: Pick<ComparableRun, 'account' | 'draws'>, role: ProductRole) {
  const members = account.products.flatMap(({ id, role: own }) => (own === role ? [draws.products[id]!] : []));
  if (members.length === 0) return undefined;
  const together = togetherOf(members);
  return { massFraction: together.massFraction, performance: performanceOf(together, draws.feed) };
}

/** Grade and recovery of a run's concentrates as draws, for a plot of one against the other. */
export function gradeAndRecoveryOf(
  run: Pick<ComparableRun, 'account' | 'draws'>,
  component: Component,
): { readonly grade: Drawn; readonly recovery: Drawn } | undefined {
  const grade = figureOf(run, { stream: 'concentrate', figure: 'grade', component });
  const recovery = figureOf(run, { stream: 'concentrate', figure: 'recovery', component });
  return grade && recovery && { grade, recovery };
}
