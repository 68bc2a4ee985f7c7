import { type LeastParts, leastShare, leftOfWhole } from '../grade/leastParts';
import { GRADED, type Graded } from '../material/classes';
import { seededRandom } from '../quantity/seededRandom';
import type { AccountDraws } from './account';
import { type Drawn, ratioOfDrawn } from './drawn';
import { perGraded, type StreamDraws } from './performance';
import type { PerGraded, RunAccount } from './runAccount';

/** Shares of dry mass that components below detection could reach at most; what was detected is not listed. */
export type Ceilings = Readonly<Partial<Record<Graded, number>>>;

/** The ceilings of a stream from its measured shares: the limits that these quote. */
export function ceilingsIn(measured: PerGraded): Ceilings {
	return perGraded((component) => {
		const share = measured[component];
		return share?.belowDetectionLimit === true ? share.high : undefined;
	});
}

/**
 * A stream whose undetected components may hold all that their limits leave open; best values stay.
 *
 * Where a component's own draws reach its limit they say all there is to say. Where they don't (counting pieces allows more, or the rates of
 * false calls are not the picture's), it holds, from draw to draw, anything from nought up, evenly, such that its upper 95 % limit is that
 * limit. Whatever is worked out from these streams then ends where 95 % of it do, and not where all worst cases meet: what draws don't
 * reach is the stream's own (which pieces were scooped, what its photos call falsely), so each has an order of its own. Errors that
 * streams share are in the draws.
 */
export function raisedTo(stream: StreamDraws, ceilings: Ceilings, whose: WhoseStream): StreamDraws {
	const raised = perGraded((component) => {
		const most = ceilings[component];
		return most === undefined || reaches(stream.massFraction[component], most) ? undefined : most;
	});
	if (Object.keys(raised).length === 0) return stream;
	const { massKg } = stream;
	const parts = perGraded((component) => {
		const own = stream.massFraction[component] ?? stream.contentKg[component];
		return raised[component] === undefined || own === undefined
			? undefined
			: evenParts(own.draws.length, whose, component);
	});
	return {
		...stream,
		contentKg: perGraded((component) => {
			const [content, most, part] = [stream.contentKg[component], raised[component], parts[component]];
			if (content === undefined || massKg === undefined || most === undefined || part === undefined) return content;
			return {
				...content,
				draws: content.draws.map((own, i) => Math.max(own, Math.min(1, most * part[i]!) * massKg.draws[i]!)),
			};
		}),
		massFraction: perGraded((component) => {
			const [share, most, part] = [stream.massFraction[component], raised[component], parts[component]];
			if (share === undefined || most === undefined || part === undefined) return share;
			return { ...share, draws: share.draws.map((own, i) => Math.max(own, Math.min(1, most * part[i]!))) };
		}),
	};
}

/** A product of which there is no more of each component than its part, and all else the more for it (`leastShare`). */
export function loweredTo(stream: StreamDraws): StreamDraws {
	return withParts(stream, stream.leastParts);
}

/**
 * The same in every second draw, for what is worked out from several products: that all of them hold so little is less likely than that one
 * does. With all draws so lowered 97 to 98 of 100 recoveries beside two bins below detection are held, with half of them 95 to 97.
 */
export function loweredByHalf(stream: StreamDraws): StreamDraws {
	const parts = perGraded((component) => stream.leastParts?.[component]?.map((part, i) => (i % 2 === 0 ? part : 1)));
	return withParts(stream, parts);
}

function withParts(stream: StreamDraws, leastParts: LeastParts = {}): StreamDraws {
	const { massFraction } = stream;
	if (Object.keys(leastParts).length === 0) return stream;
	const left = leftOfWhole(
		perGraded((component) => massFraction[component]?.draws),
		leastParts,
	);
	const lowered = (figures: StreamDraws['contentKg']) =>
		perGraded((component) => {
			const own = figures[component];
			return own && { ...own, draws: leastShare(own.draws, leastParts[component], left) };
		});
	return { ...stream, contentKg: lowered(stream.contentKg), massFraction: lowered(massFraction) };
}

/** Share of the draws that have to reach a limit which 2.5 in a hundred should pass: reconciling moves them a little, and they repeat no better. */
const REACHING = 0.02;

/** Whether a share's draws have their upper 95 % limit about there or beyond. */
function reaches(share: Drawn | undefined, most: number): boolean {
	if (share === undefined) return false;
	let over = 0;
	for (const own of share.draws) if (own >= most) over++;
	return over >= REACHING * share.draws.length;
}

/** Names a stream, so that its order is its own and the same whenever it is asked for. */
export interface WhoseStream {
	readonly runId: string;
	readonly seed: number;
	readonly id: string;
}

/**
 * Even numbers of which 970 in 1000 lie below 1, so that 975 reach it however few there are, shuffled. Free copper is part of the
 * copper and goes in its order.
 */
function evenParts(count: number, { runId, seed, id }: WhoseStream, component: Graded): Float64Array {
	const order = component === 'freeCopper' ? 'copper' : component;
	const random = seededRandom(seed, 'below detection', runId, id, order);
	const parts = Float64Array.from({ length: count }, (_, i) => (i + 0.5) / count / 0.97);
	for (let i = count - 1; i > 0; i--) {
		const j = Math.floor(random.uniform() * (i + 1));
		[parts[i], parts[j]] = [parts[j]!, parts[i]!];
	}
	return parts;
}

/** The feed with as much more in it as `after` holds more than `before`: what a product holds came in with the feed. */
export function feedWith(feed: StreamDraws, before: StreamDraws, after: StreamDraws): StreamDraws {
	return feedWithAll(feed, [[before, after]]);
}

/** The same for several products, each as it was and as it may be. */
export function feedWithAll(feed: StreamDraws, pairs: readonly (readonly [StreamDraws, StreamDraws])[]): StreamDraws {
	const changed = pairs.filter(([before, after]) => before !== after);
	if (changed.length === 0) return feed;
	const contentKg = perGraded((component) => {
		const own = feed.contentKg[component];
		return own && changed.reduce((all, [before, after]) => exchanged(all, before, after, component), own);
	});
	return {
		...feed,
		contentKg,
		massFraction: perGraded(
			(component) => ratioOfDrawn(contentKg[component], feed.massKg) ?? feed.massFraction[component],
		),
	};
}

/** An amount less one product's part of it as it was, and with that as it may be. */
function exchanged(all: Drawn, before: StreamDraws, after: StreamDraws, component: Graded): Drawn {
	const [less, more] = [before.contentKg[component], after.contentKg[component]];
	if (less === undefined || more === undefined || less === more) return all;
	const draws = all.draws.slice();
	for (let i = 0; i < draws.length; i++) draws[i]! += more.draws[i]! - less.draws[i]!;
	return { value: all.value - less.value + more.value, draws };
}

/** One product of an account raised to its limits of detection; the very draws where all was detected. */
export function productCeiling(
	{ account, draws }: { readonly account: RunAccount; readonly draws: AccountDraws },
	productId: string,
): StreamDraws {
	const product = account.products.find(({ id }) => id === productId);
	const { runId, seed } = account;
	return raisedTo(draws.products[productId]!, ceilingsIn(product?.massFraction.measured ?? {}), {
		runId,
		seed,
		id: productId,
	});
}

/** A run with its draws. */
interface DrawnAccount {
	readonly account: RunAccount;
	readonly draws: AccountDraws;
}

/**
 * A run of which some products hold, in every draw, at least as much of some components as their limits of detection leave open, and its
 * feed with it; the very draws where these were detected.
 *
 * What a product may hold beside was not in a feed whose grade was measured: such a run's other products are asked about without it.
 */
export function raisedDraws(
	run: DrawnAccount,
	isRaised: (product: RunAccount['products'][number]) => boolean,
	components: readonly Graded[] = GRADED,
): AccountDraws {
	const { runId, seed } = run.account;
	return changedDraws(run, isRaised, (own, { id, massFraction }) => {
		const ceilings = ceilingsIn(massFraction.measured);
		const asked = perGraded((one) => (components.includes(one) ? ceilings[one] : undefined));
		return raisedTo(own, asked, { runId, seed, id });
	});
}

/** The same run where of some products there is no more than its parts (`loweredByHalf`), and its feed with them unless its grade was measured. */
export function loweredDraws(
	run: DrawnAccount,
	isLowered: (product: RunAccount['products'][number]) => boolean = () => true,
): AccountDraws {
	const lowered = changedDraws(run, isLowered, loweredByHalf);
	return lowered !== run.draws && run.account.feed.gradeOrigin === 'measured'
		? { ...lowered, feed: run.draws.feed }
		: lowered;
}

function changedDraws(
	{ account, draws }: DrawnAccount,
	isChanged: (product: RunAccount['products'][number]) => boolean,
	change: (own: StreamDraws, product: RunAccount['products'][number]) => StreamDraws,
): AccountDraws {
	let changed = draws;
	for (const product of account.products) {
		if (!isChanged(product)) continue;
		const own = draws.products[product.id]!;
		const other = change(own, product);
		if (other === own) continue;
		changed = {
			...changed,
			feed: feedWith(changed.feed, own, other),
			// its own yield and recoveries stay as they were drawn
			products: { ...changed.products, [product.id]: { ...own, ...other } },
		};
	}
	return changed;
}
