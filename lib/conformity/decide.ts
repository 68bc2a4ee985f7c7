import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { z } from 'zod';
import type { Limit } from './limit';

/** What can be said of a limit; nothing else. */
export const VERDICTS = ['meets', 'doesNotMeet', 'notDecided'] as const;
export type Verdict = (typeof VERDICTS)[number];

/**
 * How a measured share is turned into a verdict: by its best value alone, or only where the chance of being wrong is at most the
 * risk, in either direction.
 */
export const decisionRuleSchema = z.discriminatedUnion('kind', [
	z.strictObject({ kind: z.literal('simple') }),
	z.strictObject({ kind: z.literal('guarded'), risk: z.number().min(0.001).max(0.25) }),
]);
export type DecisionRule = z.infer<typeof decisionRuleSchema>;

/**
 * The probability that the true share lies within a limit: the part of the draws that does.
 *
 * @param draws - the share in each of the possible worlds, at least one
 * @source JCGM 106:2012 7.1 (conformance probability from the whole distribution of the measured amount)
 */
export function conformanceProbability(
	draws: ArrayLike<number>,
	{ side, fraction }: Pick<Limit, 'side' | 'fraction'>,
): number {
	if (draws.length === 0) throw new RangeError('conformanceProbability needs at least one draw');
	let inside = 0;
	for (let i = 0; i < draws.length; i++) if (side === 'least' ? draws[i]! >= fraction : draws[i]! <= fraction) inside++;
	return inside / draws.length;
}

/**
 * The verdict on one limit.
 *
 * @param found.probability - of conformance; absent where the share cannot be told from nothing and the limit is lower than what could be missed
 * @source simple acceptance: JCGM 106:2012 8.2; guarded acceptance and guarded rejection: JCGM 106:2012 8.3
 */
export function verdictOf(
	found: { readonly probability: number | undefined; readonly value: number },
	limit: Limit,
	rule: DecisionRule,
): Verdict {
	const { probability, value } = found;
	if (probability === undefined) return 'notDecided';
	const isWithin = limit.side === 'least' ? value >= limit.fraction : value <= limit.fraction;
	const verdict = rule.kind === 'simple' ? (isWithin ? 'meets' : 'doesNotMeet') : guarded(probability, rule.risk);
	return verdict === 'doesNotMeet' && limit.isOnEach === true ? 'notDecided' : verdict;
}

function guarded(probability: number, risk: number): Verdict {
	if (probability >= 1 - risk) return 'meets';
	return probability <= risk ? 'doesNotMeet' : 'notDecided';
}

/**
 * The best value from which on a limit counts as met under guarded acceptance, for a normal error of standard uncertainty `u`.
 *
 * @source JCGM 106:2012 8.3.2 (guard band), with the quantile of the risk in place of the factor 2
 */
export function acceptanceLimit({ side, fraction }: Pick<Limit, 'side' | 'fraction'>, u: number, risk: number): number {
	const guardBand = normalQuantile(1 - risk, 0, 1) * u;
	return side === 'least' ? fraction + guardBand : fraction - guardBand;
}
