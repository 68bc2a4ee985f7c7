import { surestChance } from '../balance/drawn';
import type { Component } from '../material/classes';
import { quantileWithin } from '../quantity/estimateOf';
import { meanOf } from '../quantity/moments';
import type { Estimate } from '../quantity/quantity';
import { conformanceProbability, type DecisionRule, type Verdict, verdictOf } from './decide';
import type { Limit, LimitClass, LimitedShare } from './limit';

/** A product's shares as measured, with the draws behind them. */
export interface MeasuredShares {
	readonly estimates: Readonly<Record<Component, Estimate>>;
	readonly draws: Readonly<Record<Component, Float64Array>>;
}

/** How a product stands against one limit. */
export interface LimitStanding {
	readonly limit: Limit;
	readonly measured: Estimate;
	/** Absent where the share cannot be told from nothing and the limit is lower than what could be missed. */
	readonly probability?: number;
	readonly verdict: Verdict;
}

/** How a product stands against a class. */
export interface Standing {
	readonly class: LimitClass;
	readonly limits: readonly LimitStanding[];
	/** Place in `limits` of the one closest to failing; absent for a class without limits. */
	readonly closest?: number;
	/** All limits at once; for contracts alone, since the other classes also ask for what a photo does not see. */
	readonly together?: { readonly probability?: number; readonly verdict: Verdict };
}

/**
 * Set a product against a class, limit by limit, from the Monte Carlo draws of its grade.
 *
 * What is foreign is all that is not copper, so tin on wire and grit count as foreign. Where a range reaches farther than the draws do, a
 * chance is the one nearest to a half that either can claim.
 */
export function standingOf(shares: MeasuredShares, limitClass: LimitClass, rule: DecisionRule): Standing {
	const limits = limitClass.limits.map((limit): LimitStanding => {
		const measured = estimateFor(shares, limit.share);
		const probability = isHidden(shares, measured, limit)
			? undefined
			: surestChance(worldsFor(shares, limit.share).map((draws) => conformanceProbability(draws, limit)));
		return {
			limit,
			measured,
			...(probability === undefined ? {} : { probability }),
			verdict: verdictOf({ probability, value: measured.value }, limit, rule),
		};
	});
	return {
		class: limitClass,
		limits,
		...(limits.length === 0 ? {} : { closest: closestOf(limits) }),
		...(limitClass.kind === 'contract' ? { together: togetherOf(shares, limits) } : {}),
	};
}

function estimateFor({ estimates }: MeasuredShares, share: LimitedShare): Estimate {
	if (share !== 'foreign') return estimates[share];
	const { value, low, high } = estimates.copper;
	return { value: 1 - value, low: 1 - high, high: 1 - low };
}

/**
 * Draws of a share; where its range reaches above theirs, since it stands beside something below detection, then the same drawn out above
 * their median to where it ends.
 */
function worldsFor(shares: MeasuredShares, share: LimitedShare): readonly Float64Array[] {
	if (share === 'foreign') return worldsFor(shares, 'copper').map((draws) => draws.map((copper) => 1 - copper));
	const [own, { high, belowDetectionLimit }] = [shares.draws[share], shares.estimates[share]];
	const [middle, top] = [0.5, 0.975].map((part) => quantileWithin(own.slice(), own.length, part)) as [number, number];
	if (belowDetectionLimit || !(high > top && top > middle)) return [own];
	const stretch = (high - middle) / (top - middle);
	return [own, own.map((part) => (part > middle ? Math.min(1, middle + stretch * (part - middle)) : part))];
}

/**
 * Nothing was seen, but what could have been missed reaches past the limit: the draws alone would claim too much. What is foreign is as
 * little known as the copper that it is the rest of.
 */
function isHidden({ estimates }: MeasuredShares, { low, high }: Estimate, { share, fraction }: Limit): boolean {
	const { belowDetectionLimit } = estimates[share === 'foreign' ? 'copper' : share];
	return belowDetectionLimit === true && low < fraction && fraction < high;
}

/** The smallest probability; a limit of unknown probability ranks as an even chance. */
function closestOf(limits: readonly LimitStanding[]): number {
	const rank = ({ probability = 0.5 }: LimitStanding) => probability;
	return limits.reduce((least, standing, i) => (rank(standing) < rank(limits[least]!) ? i : least), 0);
}

/** Met where each limit is, not met where one is not; the probability that all hold at once, since their errors go together. */
function togetherOf(shares: MeasuredShares, limits: readonly LimitStanding[]): NonNullable<Standing['together']> {
	const verdict = limits.some((one) => one.verdict === 'doesNotMeet')
		? 'doesNotMeet'
		: limits.every((one) => one.verdict === 'meets')
			? 'meets'
			: 'notDecided';
	if (limits.some(({ probability }) => probability === undefined)) return { verdict };
	const drawn = limits.map(({ limit }) => ({ limit, worlds: worldsFor(shares, limit.share) }));
	const chances = [0, 1].map((world) => {
		const all = shares.draws.copper.map((_, i) =>
			Number(
				drawn.every(({ limit, worlds }) => conformanceProbability([(worlds[world] ?? worlds[0]!)[i]!], limit) === 1),
			),
		);
		return meanOf(all);
	});
	return { probability: surestChance(chances), verdict };
}
