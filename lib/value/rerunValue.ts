import { type Drawn, drawnFrom, estimateOfDrawn } from '../balance/drawn';
import type { AfterPasses } from '../balance/rerunCircuit';
import { COMPONENTS } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { marginLinesOf, ratesOf, type SoldPerKg } from './marginModel';
import { FEED_COSTS, type PriceSheet } from './priceSheet';

/** What feeding the middlings again brings against keeping them, per kilogram of fresh waste. */
export interface RerunValue {
  readonly gainPerKg: Estimate;
  /** Probability that it brings more than it costs. */
  readonly probabilityPays: number;
}

/**
 * Gain of rerunning: what the concentrate brings more (metal, penalties, treatment, freight), less the running costs of
 * what is fed again. Running costs are those per mass of waste; a kilogram fed again costs as much as a fresh one.
 *
 * @param without - the run with no rerun, its middlings kept
 * @returns undefined where no metal has a price
 */
export function rerunValueOf(without: AfterPasses, after: AfterPasses, sheet: PriceSheet): RerunValue | undefined {
  const rates = ratesOf(sheet);
  if (!(rates.pricePerKg.copper > 0 || rates.pricePerKg.aluminium > 0)) return undefined;
  const runningPerKg = FEED_COSTS.reduce((sum, cost) => sum + rates.feedCostPerKg[cost], 0);
  const fromSold = (parts: readonly number[]) => {
    const lines = marginLinesOf(soldOf(parts), rates);
    return lines.copper + lines.aluminium + lines.penalties + lines.treatment + lines.freight;
  };
  const count = PARTS.length;
  const gain = drawnFrom(
    [...partsOf(after), ...partsOf(without), after.fedAgain],
    (...values: number[]) =>
      fromSold(values.slice(0, count)) - fromSold(values.slice(count, 2 * count)) - runningPerKg * values[2 * count]!,
  );
  const gainPerKg = estimateOfDrawn(gain);
  if (gainPerKg === undefined) return undefined;
  return { gainPerKg, probabilityPays: gain.draws.filter((each) => each > 0).length / gain.draws.length };
}

const PARTS = ['mass', ...COMPONENTS] as const;

function partsOf({ concentrate }: AfterPasses): readonly Drawn[] {
  return PARTS.map((part) => concentrate[part]);
}

function soldOf(parts: readonly number[]): SoldPerKg {
  return Object.fromEntries(PARTS.map((part, k) => [part, parts[k]!])) as SoldPerKg; // all parts listed
}
