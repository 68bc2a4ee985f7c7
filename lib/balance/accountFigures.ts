import { type LeastParts, partsOfMissing } from '../grade/leastParts';
import { type Component, GRADED, type Graded, PRODUCT_ROLES, type ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import type { AccountInput, ProductInput, StreamInput } from './accountInput';
import { ceilingsIn, feedWith, feedWithAll, loweredTo, raisedTo } from './detectionCeiling';
import { type Drawn, estimateOfDrawn, estimateReaching, ratioOfDrawn } from './drawn';
import {
	type PerformanceDraws,
	perComponent,
	performanceOf,
	perGraded,
	recoveryLimitsOf,
	type StreamDraws,
	togetherOf,
} from './performance';
import type { GroupAccount, Performance, PerGraded, ProductAccount, StreamAccount } from './runAccount';
import type { Stream } from './stream';

/** What is below detection in a stream, and the stream raised to its limits (`raisedTo`). */
interface BelowDetection {
	readonly missing: (component: Graded) => boolean;
	readonly ceiling: StreamDraws;
	/** With as little in it as there may be. */
	readonly floor: StreamDraws;
}

/** A stream as measured and as reconciled. */
export function streamAccountOf(
	input: StreamInput,
	stream: Stream,
	drawn: StreamDraws,
	below?: BelowDetection,
): StreamAccount {
	const measuredMass = estimateOfDrawn(stream.mass);
	const reconciledMass = estimateOfDrawn(drawn.massKg);
	const ownFree = input.freeCopperDraws && { value: meanFree(stream), draws: input.freeCopperDraws };
	return {
		dryMassKg: {
			...(measuredMass === undefined ? {} : { measured: measuredMass }),
			...(reconciledMass === undefined ? {} : { reconciled: reconciledMass }),
		},
		massFraction: {
			measured: perGraded((component) => {
				const share = component === 'freeCopper' ? ownFree : stream.shares[component];
				return input.massFraction?.[component] ?? estimateOfDrawn(share);
			}),
			reconciled: perGraded((component) => shareIn(drawn, component, below)),
		},
	};
}

/**
 * A share as reconciled: a limit where it is below detection, else reaching as far as it does where more or less than was drawn is there of
 * what is below detection, or of what few pieces were seen of.
 */
function shareIn({ massFraction }: StreamDraws, component: Graded, below?: BelowDetection): Estimate | undefined {
	const share = massFraction[component];
	if (below?.missing(component)) return estimateOfDrawn(share, below.ceiling.massFraction[component]);
	return estimateReaching(share, below?.ceiling.massFraction[component], below?.floor.massFraction[component]);
}

function meanFree({ freePart, shares }: Stream): number {
	return (freePart?.value ?? Number.NaN) * (shares.copper?.value ?? Number.NaN);
}

/** Free copper is part of the copper: where that can't be told from nothing nor can it be, by whatever way the copper was looked for. */
function isMissing({ massFraction = {} }: StreamInput, component: Graded): boolean {
	const isBelow = (name: Graded) => massFraction[name]?.belowDetectionLimit === true;
	return isBelow(component) || (component === 'freeCopper' && isBelow('copper'));
}

/** A feed worked out from products none of which shows a component does not show it either. */
export function isMissingInFeed(
	products: readonly ProductInput[],
	{ grade = {} }: StreamInput,
	component: Graded,
): boolean {
	const isMeasured = grade[component === 'freeCopper' ? 'copper' : component] !== undefined;
	return !isMeasured && products.every((product) => isMissing(product, component));
}

/** What a run's random numbers go by. */
type DrawnRun = Pick<AccountInput, 'runId' | 'seed'>;

/** A product as it would be if it held all that its limits of detection leave open. */
export function ceilingOf({ id, massFraction = {} }: ProductInput, drawn: StreamDraws, run: DrawnRun): StreamDraws {
	return raisedTo(drawn, ceilingsIn(massFraction), { ...run, id });
}

/** The part of each component that a product holds at least, worked out for what is below detection where nobody told. */
export function leastPartsOf(product: ProductInput, { runId, seed, drawCount }: AccountInput): LeastParts {
	const isUntold = (component: Graded) =>
		product.leastParts?.[component] === undefined && isMissing(product, component);
	return { ...partsOfMissing(drawCount, isUntold, seed, runId, product.id), ...product.leastParts };
}

/**
 * A performance in figures.
 *
 * @param ceiling - with as much in the product as its limits of detection leave open
 * @param besides - with as much in all other products as theirs do: what they may hold came in with the feed and was not won here; and with
 *   as little in all of them
 */
function performanceAccountOf(
	drawn: PerformanceDraws,
	ceiling: PerformanceDraws,
	besides: readonly PerformanceDraws[],
	missing: (component: Graded) => boolean,
): Performance {
	const limited = (of: (one: PerformanceDraws) => Readonly<Partial<Record<Graded, Drawn>>>) =>
		perGraded((component) => {
			const [figure, most] = [of(drawn)[component], of(ceiling)[component]];
			return missing(component)
				? estimateOfDrawn(figure, most)
				: estimateReaching(figure, most, ...besides.map((one) => of(one)[component]));
		});
	const yieldFraction = estimateOfDrawn(drawn.yieldFraction);
	const separationEfficiency = estimateReaching(
		drawn.separationEfficiency,
		ceiling.separationEfficiency,
		...besides.map((one) => one.separationEfficiency),
	);
	return {
		...(yieldFraction === undefined ? {} : { yieldFraction }),
		recovery: limited(({ recovery }) => recovery),
		upgradeRatio: limited(({ upgradeRatio }) => upgradeRatio),
		...(separationEfficiency === undefined ? {} : { separationEfficiency }),
	};
}

/** The products of a run as drawn and at their limits of detection, and the feed that they are set against. */
export interface DrawnProducts {
	readonly own: readonly (StreamDraws & PerformanceDraws)[];
	readonly ceilings: readonly StreamDraws[];
	/** With no more in them than is there at least (`loweredByHalf`). */
	readonly floors: readonly StreamDraws[];
	readonly feed: StreamDraws;
	/** The feed of products with no more in them than that. */
	readonly lowestFeed: StreamDraws;
	/** A feed whose grade was measured holds no more, whatever the products may. */
	readonly isFeedMeasured: boolean;
	/** The products in their order, and then what else left. */
	readonly leaving: readonly StreamDraws[];
	/** Bins weigh by far too much: no recovery is a figure. */
	readonly isTooMuch: boolean;
	/** Where weights are far from closing: feed and what left with one weight after the other worked out from the rest. */
	readonly slips: readonly { readonly feed: StreamDraws; readonly leaving: readonly StreamDraws[] }[];
}

/** The feed with as much more or less in it as products may hold more or less than was drawn. */
export function feedFor(
	{ own, feed, isFeedMeasured, ...products }: Omit<DrawnProducts, 'lowestFeed'>,
	end: 'ceilings' | 'floors',
	isChanged: (product: number) => boolean = () => true,
): StreamDraws {
	if (isFeedMeasured) return feed;
	const changed = products[end].flatMap((stream, p) => (isChanged(p) ? [[own[p]!, stream] as const] : []));
	return feedWithAll(feed, changed);
}

/** One product's line, by its place. */
export function productAccountOf(
	product: ProductInput,
	p: number,
	stream: Stream,
	products: DrawnProducts,
): ProductAccount {
	const { own, ceilings, floors } = products;
	const [drawn, ceiling, floor] = [own[p]!, ceilings[p]!, floors[p]!];
	const missing = (component: Graded) => isMissing(product, component);
	return {
		id: product.id,
		name: product.name,
		role: product.role,
		...streamAccountOf(product, stream, drawn, { missing, ceiling, floor: loweredTo(drawn) }),
		...againstFeed([p], { drawn, ceiling, floor, missing }, products),
	};
}

/** Products, taken together, against the feed; limits of their recoveries where these are not determined. */
function againstFeed(
	members: readonly number[],
	{ drawn, ceiling, floor, missing }: BelowDetection & { readonly drawn: StreamDraws },
	products: DrawnProducts,
): Performance {
	const { feed, lowestFeed, ceilings, leaving, slips, isTooMuch } = products;
	const own = performanceOf(drawn, feed);
	const isOther = (p: number) => !members.includes(p);
	const [raised, lowered] = [feedFor(products, 'ceilings', isOther), feedFor(products, 'floors', isOther)];
	const performance = performanceAccountOf(
		own,
		ceiling === drawn && (lowered === feed || !GRADED.some(missing))
			? own
			: performanceOf(ceiling, feedWith(lowered, drawn, ceiling)),
		[
			raised === feed ? own : performanceOf(drawn, raised),
			floor === drawn && lowestFeed === feed ? own : performanceOf(floor, lowestFeed),
		],
		missing,
	);
	const limits = perComponent((component) => {
		if (performance.recovery[component] !== undefined) return undefined;
		if (leaving.every(({ contentKg }) => contentKg[component] !== undefined)) return undefined;
		const limit = limitsOf(component, drawn, leaving);
		if (limit === undefined) return undefined;
		// what other bins may hold below detection leaves less of the whole to this one
		const beside = limitsOf(
			component,
			drawn,
			leaving.map((stream, q) => (members.includes(q) ? stream : (ceilings[q] ?? stream))),
		);
		const among = { ...limit.among, low: Math.min(limit.among.low, beside?.among.low ?? limit.among.low) };
		const bounds = { ...limit.bounds, low: Math.min(limit.bounds.low, beside?.bounds.low ?? limit.bounds.low) };
		if (!missing(component)) return { among, bounds };
		const most = limitsOf(
			component,
			ceiling,
			leaving.map((stream, q) => (members.includes(q) ? ceilings[q]! : stream)),
		);
		const high = Math.max(limit.bounds.high, most?.bounds.high ?? 0);
		return { among: { ...among, low: 0, high, belowDetectionLimit: true }, bounds: { low: 0, high } };
	});
	const { recovery, upgradeRatio, separationEfficiency: _, ...rest } = performance;
	const bounds = perComponent((component) => {
		const told = [limits[component]?.bounds, recovery[component]].filter((one) => one !== undefined);
		if (told.length === 0 || (!isTooMuch && recovery[component] !== undefined)) return undefined;
		const slipped = slips.flatMap((slip) => {
			const own = togetherOf(members.map((p) => slip.leaving[p]!)).contentKg[component];
			return estimateOfDrawn(ratioOfDrawn(own, slip.feed.contentKg[component])) ?? [];
		});
		const all = [...told, ...slipped];
		return { low: Math.min(...all.map(({ low }) => low)), high: Math.max(...all.map(({ high }) => high)) };
	});
	if (Object.keys(bounds).length === 0) return performance;
	return {
		...(isTooMuch ? { ...rest, recovery: {}, upgradeRatio: {} } : performance),
		recoveryBounds: bounds,
		recoveryAmongGraded: perComponent((component) => limits[component]?.among) as PerGraded,
	};
}

function limitsOf(component: Component, product: StreamDraws, leaving: readonly StreamDraws[]) {
	const graded = leaving.filter(({ contentKg }) => contentKg[component] !== undefined);
	const ungraded = leaving.filter(({ contentKg }) => contentKg[component] === undefined);
	const limits = recoveryLimitsOf(component, product, graded, togetherOf(ungraded).massKg);
	const among = estimateOfDrawn(limits?.highest);
	const lowest = estimateOfDrawn(limits?.lowest);
	if (among === undefined || lowest === undefined) return undefined;
	return { among, bounds: { low: lowest.low, high: among.high } };
}

/**
 * All products together, and those of each role that occurs.
 *
 * Where all are of one role and nothing else tells what was fed, that role holds all of the feed by definition: its recovery would be 100 %
 * whatever was lost, so it is not told.
 */
export function groupsOf(
	inputs: readonly ProductInput[],
	products: DrawnProducts,
): Partial<Record<ProductRole | 'all', GroupAccount>> {
	const { own, ceilings, floors, isFeedMeasured, leaving } = products;
	const groups: Partial<Record<ProductRole | 'all', GroupAccount>> = {};
	for (const role of ['all', ...PRODUCT_ROLES] as const) {
		const members = inputs.flatMap((product, p) => (role === 'all' || product.role === role ? [p] : []));
		if (members.length === 0) continue;
		const drawn = togetherOf(members.map((p) => own[p]!));
		const changed = (streams: readonly StreamDraws[]) =>
			members.some((p) => streams[p] !== own[p]) ? togetherOf(members.map((p) => streams[p]!)) : drawn;
		const [ceiling, floor] = [changed(ceilings), changed(floors)];
		const missing = (component: Graded) => members.every((p) => isMissing(inputs[p]!, component));
		const dryMassKg = estimateOfDrawn(drawn.massKg);
		const isAllThereIs = members.length === leaving.length && !isFeedMeasured;
		groups[role] = {
			productIds: members.map((p) => inputs[p]!.id),
			...(dryMassKg === undefined ? {} : { dryMassKg }),
			massFraction: perGraded((component) => {
				const [share, most, least] = [drawn, ceiling, floor].map(({ massFraction }) => massFraction[component]);
				return missing(component) ? estimateOfDrawn(share, most) : estimateReaching(share, most, least);
			}),
			...(role !== 'all' && isAllThereIs
				? { recovery: {}, upgradeRatio: {} }
				: againstFeed(members, { drawn, ceiling, floor, missing }, products)),
		};
	}
	return groups;
}
