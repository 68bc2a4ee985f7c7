import type { AccountDraws } from '../balance/account';
import { feedWith, productCeiling } from '../balance/detectionCeiling';
import { type Drawn, estimateOfDrawn, estimateReaching, ratioOfDrawn, sumOfDrawn } from '../balance/drawn';
import type { StreamDraws } from '../balance/performance';
import type { RunAccount } from '../balance/runAccount';
import type { Component, ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';

/** What a flow diagram shows: dry mass, or one component. */
export const FLOWS = ['mass', 'copper', 'aluminium', 'insulation'] as const;
export type Flow = (typeof FLOWS)[number];

/** One band from the feed to a bin. Lengths are in drawing units; the feed is `feedHeight` high. */
export interface FlowBand {
	readonly id: string;
	readonly name: string;
	readonly role: ProductRole | 'loss';
	readonly amountKg: Estimate;
	readonly shareOfFeed: Estimate;
	/** Width of the band: the feed's height times the share. */
	readonly height: number;
	/** Top of the band where it leaves the feed, and where it meets its bin. */
	readonly fromY: number;
	readonly toY: number;
	/** Top of the band's text. */
	readonly labelY: number;
}

/** A run's flow from feed to bins, ready to be drawn. */
export interface FlowDiagram {
	readonly flow: Flow;
	readonly height: number;
	readonly feedY: number;
	readonly feedHeight: number;
	readonly feedKg?: Estimate;
	readonly bands: readonly FlowBand[];
	/** Streams whose amount is not known, and so are not drawn. */
	readonly notKnown: readonly string[];
}

/** Height of the whole feed, room for a bin's three lines of text, and the gap between bins. */
const [FEED_HEIGHT, LABEL_HEIGHT, GAP] = [200, 58, 12] as const;

/**
 * Lay out a run's flow: bands as wide as their share of the feed, bins one below the other with room for their numbers.
 *
 * Where a stream is not determined the shares are of what is known, and the stream is named in `notKnown`.
 */
export function flowDiagramOf(account: RunAccount, draws: AccountDraws, flow: Flow): FlowDiagram {
	const of = (stream: StreamDraws) => (flow === 'mass' ? stream.massKg : stream.contentKg[flow as Component]);
	const streams = [
		...account.products.map(({ id, name, role }) => ({ id, name, role, drawn: of(draws.products[id]!) })),
		...[
			{ id: 'stated loss', name: 'Stated loss', stream: draws.loss },
			{ id: 'missing', name: 'In no bin', stream: draws.missing },
		].flatMap(({ stream, ...named }) =>
			stream === undefined ? [] : [{ ...named, role: 'loss' as const, drawn: of(stream) }],
		),
	];
	const known = streams.flatMap((stream) => (stream.drawn === undefined ? [] : [{ ...stream, drawn: stream.drawn }]));
	const feed = of(draws.feed);
	// shares of what is known where the feed is not: drawn with its parts, so that none passes the whole
	const whole = feed ?? sumOfDrawn(known.map(({ drawn }) => drawn));
	const ceilings = flow === 'mass' ? NONE : ceilingsOf(account, draws, flow);
	const sized = known.flatMap(({ drawn, ...stream }) => {
		const most = ceilings.get(stream.id);
		const amountKg = estimateOfDrawn(drawn, most?.amount);
		// a component's share of what was fed is the stream's recovery, with all that the account knows of its limits
		const told = flow === 'mass' ? undefined : account.products.find(({ id }) => id === stream.id);
		const own = told?.recovery[flow as Component] ?? estimateOfDrawn(ratioOfDrawn(drawn, whole), most?.share);
		// of a feed that is known only as far as its weight is right
		const limits = feed && told?.recoveryBounds?.[flow as Component];
		const shareOfFeed =
			own && limits ? { ...own, low: Math.min(own.low, limits.low), high: Math.max(own.high, limits.high) } : own;
		if (amountKg === undefined || shareOfFeed === undefined) return [];
		return [{ ...stream, amountKg, shareOfFeed, height: FEED_HEIGHT * Math.max(0, shareOfFeed.value) }];
	});
	const feedMost = ceilings.get(FEED);
	const feedKg =
		feedMost?.isBelow === false ? estimateReaching(feed, feedMost.amount) : estimateOfDrawn(feed, feedMost?.amount);
	return {
		flow,
		...placed(sized),
		...(feedKg === undefined ? {} : { feedKg }),
		notKnown: streams.filter(({ id }) => !sized.some((band) => band.id === id)).map(({ name }) => name),
	};
}

interface FlowCeiling {
	readonly amount: Drawn | undefined;
	readonly share?: Drawn | undefined;
	/** The stream itself is below detection, and not only something in it. */
	readonly isBelow: boolean;
}

const NONE: ReadonlyMap<string, FlowCeiling> = new Map();

/** The feed's place among the ceilings: no product has an empty id. */
const FEED = '';

/** What streams could carry at most of a component that is below detection in them, by product id. */
function ceilingsOf(account: RunAccount, draws: AccountDraws, component: Component): ReadonlyMap<string, FlowCeiling> {
	const found = new Map<string, FlowCeiling>();
	let all = draws.feed;
	for (const { id, massFraction } of account.products) {
		const [own, most] = [draws.products[id]!, productCeiling({ account, draws }, id)];
		if (account.feed.gradeOrigin !== 'measured') all = feedWith(all, own, most);
		if (massFraction.reconciled[component]?.belowDetectionLimit !== true) continue;
		const amount = most.contentKg[component];
		const share = ratioOfDrawn(amount, feedWith(draws.feed, own, most).contentKg[component]);
		found.set(id, { amount, share, isBelow: true });
	}
	const isBelow = account.feed.massFraction.reconciled[component]?.belowDetectionLimit === true;
	found.set(FEED, { amount: all.contentKg[component], isBelow });
	return found;
}

function placed(sized: readonly Omit<FlowBand, 'fromY' | 'toY' | 'labelY'>[]) {
	const slots = sized.map(({ height }) => Math.max(LABEL_HEIGHT, height));
	const total = slots.reduce((sum, slot) => sum + slot, 0) + GAP * Math.max(0, slots.length - 1);
	const height = Math.max(FEED_HEIGHT, total);
	const feedY = (height - FEED_HEIGHT) / 2;
	let [fromY, slotY] = [feedY, (height - total) / 2];
	const bands = sized.map((band, k): FlowBand => {
		const slot = slots[k]!;
		const place = { fromY, toY: slotY + (slot - band.height) / 2, labelY: slotY + (slot - LABEL_HEIGHT) / 2 };
		fromY += band.height;
		slotY += slot + GAP;
		return { ...band, ...place };
	});
	return { height, feedY, feedHeight: FEED_HEIGHT, bands };
}
