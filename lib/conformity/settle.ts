import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { spreadsNeeded } from '../grade/samplingPlan';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { standardUncertaintyOf } from '../quantity/standardUncertainty';
import { acceptanceLimit, type DecisionRule } from './decide';
import type { LimitStanding } from './standing';

/** What would settle a limit that is not decided. */
export type Settlement =
	/** So many more spreads like those made, if the best value stays. */
	| { readonly kind: 'spreads'; readonly more: number; readonly readsAt: number }
	/** Spreading alone does not reach it: a check of another kind, in the end a laboratory. */
	| { readonly kind: 'check'; readonly readsAt: number }
	/** The sum is beyond the limit that holds for each: sort the parts, or have them analysed. */
	| { readonly kind: 'sortParts' }
	/** Nothing was seen, and more than the limit could have been missed. */
	| { readonly kind: 'detection' };

/** How a share narrows with more spreads. */
export interface Narrowing {
	readonly spreads: number;
	/** Standard deviation of one spread's share. */
	readonly perSpreadU: number;
	/** Standard deviation that more spreads do not shrink. */
	readonly otherU: number;
}

/** More spreads than this are not proposed: a laboratory is cheaper. Our choice. */
const MOST_SPREADS = 30;

/**
 * What would settle a limit, if the best value stays where it is; undefined where the limit is decided.
 *
 * @param narrowing - of the share that is limited; absent where it is not known
 */
export function settlementOf(
	{ limit, measured, probability, verdict }: LimitStanding,
	rule: DecisionRule,
	narrowing: Narrowing | undefined,
): Settlement | undefined {
	if (verdict !== 'notDecided') return undefined;
	if (probability === undefined) return { kind: 'detection' };
	const isBeyond = limit.side === 'least' ? measured.value < limit.fraction : measured.value > limit.fraction;
	if (limit.isOnEach === true && isBeyond) return { kind: 'sortParts' };
	if (rule.kind === 'simple') return undefined;
	const u = standardUncertaintyOf(measured);
	const readsAt = Math.min(1, Math.max(0, acceptanceLimit(limit, u, rule.risk)));
	if (narrowing === undefined) return { kind: 'check', readsAt };
	const neededU = Math.abs(measured.value - limit.fraction) / normalQuantile(1 - rule.risk, 0, 1);
	const needed = spreadsNeeded(COVERAGE_FACTOR * neededU, narrowing.perSpreadU, narrowing.otherU);
	if (needed === undefined || needed > MOST_SPREADS) return { kind: 'check', readsAt };
	return { kind: 'spreads', more: Math.max(1, needed - narrowing.spreads), readsAt };
}
