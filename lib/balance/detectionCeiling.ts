import { COMPONENTS, type Component, GRADED, type Graded } from '../material/classes';
import { seededRandom } from '../quantity/seededRandom';
import type { AccountDraws } from './account';
import { type Drawn, drawnFrom, ratioOfDrawn } from './drawn';
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

/**
 * A stream of which what is below detection is, from draw to draw, anything from nothing up to what was drawn of it, evenly, and all else the
 * more for it: draws of what is below detection lie above nought, since masses can't be less than nothing, its range does not.
 */
export function loweredBelow(
	stream: StreamDraws,
	isBelow: (component: Graded) => boolean,
	whose: WhoseStream,
): StreamDraws {
	const missing = COMPONENTS.filter((one) => isBelow(one) && stream.massFraction[one] !== undefined);
	if (missing.length === 0) return stream;
	const left = perGraded((component) => {
		const { uniform } = seededRandom(whose.seed, 'less than drawn', whose.runId, whose.id, orderOf(component));
		const isLess = missing.some((one) => one === orderOf(component));
		return isLess ? Float64Array.from(stream.massFraction[component]?.draws ?? [], uniform) : undefined;
	});
	const kept = Float64Array.from(stream.massFraction[missing[0]!]!.draws, (_, i) =>
		missing.reduce((rest, one) => rest - stream.massFraction[one]!.draws[i]! * (1 - left[one]![i]!), 1),
	);
	const lowered = (figures: StreamDraws['contentKg']) =>
		perGraded((component) => {
			const own = figures[component];
			return (
				own && {
					...own,
					draws: own.draws.map((each, i) => (each * (left[component]?.[i] ?? 1)) / Math.max(1e-9, kept[i]!)),
				}
			);
		});
	return { ...stream, contentKg: lowered(stream.contentKg), massFraction: lowered(stream.massFraction) };
}

/** Free copper is part of the copper and goes in its order. */
function orderOf(component: Graded): Component {
	return component === 'freeCopper' ? 'copper' : component;
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
 * Even numbers of which 970 in 1000 lie below 1, so that 975 reach it however few there are, shuffled.
 */
function evenParts(count: number, { runId, seed, id }: WhoseStream, component: Graded): Float64Array {
	const random = seededRandom(seed, 'below detection', runId, id, orderOf(component));
	const parts = Float64Array.from({ length: count }, (_, i) => (i + 0.5) / count / 0.97);
	for (let i = count - 1; i > 0; i--) {
		const j = Math.floor(random.uniform() * (i + 1));
		[parts[i], parts[j]] = [parts[j]!, parts[i]!];
	}
	return parts;
}

/** The feed with as much more in it as `after` holds more than `before`: what a product holds came in with the feed. */
export function feedWith(feed: StreamDraws, before: StreamDraws, after: StreamDraws): StreamDraws {
	if (before === after) return feed;
	const contentKg = perGraded((component) => {
		const [own, less, more] = [feed.contentKg[component], before.contentKg[component], after.contentKg[component]];
		if (own === undefined || less === undefined || more === undefined || less === more) return own;
		return drawnFrom([own, less, more], (all, a, b) => all - a + b);
	});
	return {
		...feed,
		contentKg,
		massFraction: perGraded(
			(component) => ratioOfDrawn(contentKg[component], feed.massKg) ?? feed.massFraction[component],
		),
	};
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
	return changedDraws(run, isRaised, (own, measured, whose) => {
		const ceilings = ceilingsIn(measured);
		return raisedTo(
			own,
			perGraded((one) => (components.includes(one) ? ceilings[one] : undefined)),
			whose,
		);
	});
}

/**
 * The same run where some products hold less than was drawn of what is below detection in them (`loweredBelow`), and its feed with them unless
 * its grade was measured.
 */
export function loweredDraws(
	run: DrawnAccount,
	isLowered: (product: RunAccount['products'][number]) => boolean = () => true,
): AccountDraws {
	const lowered = changedDraws(run, isLowered, (own, measured, whose) =>
		loweredBelow(own, (component) => measured[component]?.belowDetectionLimit === true, whose),
	);
	return lowered !== run.draws && run.account.feed.gradeOrigin === 'measured'
		? { ...lowered, feed: run.draws.feed }
		: lowered;
}

function changedDraws(
	{ account, draws }: DrawnAccount,
	isChanged: (product: RunAccount['products'][number]) => boolean,
	change: (own: StreamDraws, measured: PerGraded, whose: WhoseStream) => StreamDraws,
): AccountDraws {
	let changed = draws;
	for (const product of account.products) {
		if (!isChanged(product)) continue;
		const own = draws.products[product.id]!;
		const whose = { runId: account.runId, seed: account.seed, id: product.id };
		const other = change(own, product.massFraction.measured, whose);
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
