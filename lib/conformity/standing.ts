import { surestChance } from '../balance/drawn';
import type { ToldFrom } from '../grade/gradeProduct';
import { type LeastParts, leastShare, leftOfWhole } from '../grade/leastParts';
import { COMPONENTS, type Component } from '../material/classes';
import { meanOf } from '../quantity/moments';
import type { Estimate } from '../quantity/quantity';
import { conformanceProbability, type DecisionRule, type Verdict, verdictOf } from './decide';
import type { Limit, LimitClass, LimitedShare } from './limit';

/** A product's shares as measured, with the draws behind them. */
export interface MeasuredShares {
	readonly estimates: Readonly<Record<Component, Estimate>>;
	readonly draws: Readonly<Record<Component, Float64Array>>;
	/** From which best values on components that were detected are told from nothing; none where nobody knows. */
	readonly toldFrom?: ToldFrom | undefined;
	/** The part of each that is there at least; all where nobody knows. */
	readonly leastParts?: LeastParts | undefined;
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
 * What is foreign is all that is not copper, so tin on wire and grit count as foreign. Where components are below detection, or were told only
 * just, a chance is the one nearest to a half that can be claimed: see `worldsFor` and `onceTold`.
 */
export function standingOf(shares: MeasuredShares, limitClass: LimitClass, rule: DecisionRule): Standing {
	const limits = limitClass.limits.map((limit): LimitStanding => {
		const measured = estimateFor(shares, limit.share);
		const probability = isHidden(shares, measured, limit) ? undefined : chanceOf(shares, limit);
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

/** The same where its range holds for nothing, since pieces count that may be another bin's or count twice: no limit is decided. */
export function withoutClaims({ limits, together, closest: _, ...standing }: Standing): Standing {
	return {
		...standing,
		limits: limits.map(({ limit, measured }) => ({ limit, measured, verdict: 'notDecided' })),
		...(together === undefined ? {} : { together: { verdict: 'notDecided' } }),
	};
}

function estimateFor({ estimates }: MeasuredShares, share: LimitedShare): Estimate {
	if (share !== 'foreign') return estimates[share];
	const { value, low, high } = estimates.copper;
	return { value: 1 - value, low: 1 - high, high: 1 - low };
}

type LimitOnOne = Pick<Limit, 'side' | 'fraction'> & { readonly share: Component };

/** What is foreign is the rest of the copper: a limit above it is one below copper. */
function onComponent({ share, side, fraction }: Limit): LimitOnOne {
	if (share !== 'foreign') return { share, side, fraction };
	return { share: 'copper', side: side === 'most' ? 'least' : 'most', fraction: 1 - fraction };
}

function chanceOf(shares: MeasuredShares, asked: Limit): number {
	const limit = onComponent(asked);
	const chances = worldsFor(shares, limit.share).map((draws) => conformanceProbability(draws, limit));
	return surestChance([...chances, onceTold(shares, limit, surestChance(chances))]);
}

/**
 * Draws of a share, the same as they are if there is no more of anything than its part, and if what is below detection beside it is not there at
 * all: its draws hold some in every world.
 */
function worldsFor({ draws, estimates, leastParts = {} }: MeasuredShares, share: Component): readonly Float64Array[] {
	const own = draws[share];
	const beside = COMPONENTS.filter((one) => one !== share && estimates[one].belowDetectionLimit === true);
	if (estimates[share].belowDetectionLimit === true) return [own];
	const least =
		Object.keys(leastParts).length === 0 ? own : leastShare(own, leastParts[share], leftOfWhole(draws, leastParts));
	if (beside.length === 0) return [own, least];
	const left = (i: number) => 1 - beside.reduce((sum, one) => sum + draws[one][i]!, 0);
	return [own, least, own.map((part, i) => Math.min(1, part / Math.max(1e-9, left(i))))];
}

/**
 * The chance once it is kept in mind that the component was told at all: of products that hold as little as the limit only those that
 * read high by chance are told, so of these more read as high as this one did than of all. How many are told is the part of the draws that,
 * moved to the limit, lie as far above it as the least that is told does.
 *
 * @source probabilities on condition of the selection: own, Bayes' rule; what it does by simulation is in DEVELOPERS.md
 */
function onceTold(
	{ draws, estimates, toldFrom }: MeasuredShares,
	{ share, side, fraction }: LimitOnOne,
	chance: number,
) {
	const from = toldFrom?.[share];
	if (from === undefined || estimates[share].belowDetectionLimit === true) return chance;
	const told = conformanceProbability(draws[share], { side: 'most', fraction: meanOf(draws[share]) + fraction - from });
	const risk = side === 'least' ? 1 - chance : chance;
	const once = risk < told ? risk / told : 1;
	return side === 'least' ? 1 - once : once;
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
	const drawn = limits.map(({ limit: asked }) => {
		const limit = onComponent(asked);
		return { limit, worlds: worldsFor(shares, limit.share) };
	});
	const chances = [0, 1, 2].map((world) => {
		const all = shares.draws.copper.map((_, i) =>
			Number(
				drawn.every(({ limit, worlds }) => conformanceProbability([(worlds[world] ?? worlds[0]!)[i]!], limit) === 1),
			),
		);
		return meanOf(all);
	});
	const each = limits.map(({ probability = 0 }) => probability);
	return { probability: Math.min(surestChance(chances), ...each), verdict };
}
