import { TrayError } from '../errors/TrayError';
import { COMPONENTS, type Graded } from '../material/classes';
import {
	ceilingOf,
	type DrawnProducts,
	feedFor,
	groupsOf,
	isMissingInFeed,
	leastPartsOf,
	productAccountOf,
	streamAccountOf,
} from './accountFigures';
import type { AccountInput } from './accountInput';
import { isHardlyTold, warningsOf } from './accountWarnings';
import { closureOf, isFarFromClosing } from './closure';
import { type Conserved, conserve } from './conserve';
import { loweredByHalf } from './detectionCeiling';
import { type Drawn, drawnFrom, estimateOfDrawn } from './drawn';
import {
	type PerformanceDraws,
	perComponent,
	performanceOf,
	type StreamDraws,
	streamDrawsOf,
	togetherOf,
} from './performance';
import type { RunAccount } from './runAccount';
import { type Stream, streamsOf } from './stream';
import { mostSuspiciousOf, suspectsOf } from './suspects';
import { misfitRatioOf, stretched } from './widenMisfit';

/** The reconciled run as figures with their draws, for sums that go on from here (comparing runs, money). */
export interface AccountDraws {
	readonly feed: StreamDraws;
	readonly loss?: StreamDraws;
	/** What is in no bin, where by far too little is in them. */
	readonly missing?: StreamDraws;
	/** By product id. */
	readonly products: Readonly<Record<string, StreamDraws & PerformanceDraws>>;
}

/**
 * Account for one run: weights and grades of all streams brought to agree, then yields, grades, recoveries and their
 * 95 % intervals from Monte Carlo through the whole chain.
 *
 * What is missing stays missing: a product without a photo has no grade unless the feed's grade gives it by difference, a
 * product without a weight has none unless the feed's weight does, and recoveries that are not determined come as limits.
 * Intervals take the stated uncertainties for true; where the test fails (`probability` below 0.05) what was tested is widened
 * until the misfit is no surprise (`misfitRatio`), and a warning says so. Where by far too little is in the bins no widening stands for what is not:
 * then what is missing (`isPartMissing`) counts as a loss that may hold anything, and recoveries are limits, as where the bins weigh by far too
 * much: they hold with any one weight misread.
 *
 * @returns `account` is plain data; `draws` are for further sums and are not part of it
 * @throws TrayError when there is no product, or weights stated as exact contradict each other
 * @source least squares: Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000); Monte Carlo: JCGM 101:2008
 */
export function accountRun(input: AccountInput): { readonly account: RunAccount; readonly draws: AccountDraws } {
	const streams = streamsOf(input);
	const agreed = agreedOf(streams, input);
	const draws = drawsOf(streams, agreed, input);
	const drawnProducts = drawnProductsOf(draws, agreed, input);
	const { conserved, misfitRatio, isPartMissing } = agreed;
	const suspects = suspectsOf(conserved);
	const fails = conserved.probability !== undefined && conserved.probability < 0.05;
	const mostSuspicious = fails ? mostSuspiciousOf(suspects) : undefined;
	const account: Omit<RunAccount, 'warnings'> = {
		runId: input.runId,
		seed: input.seed,
		drawCount: input.drawCount,
		feed: feedAccountOf(input, streams[0]!, drawnProducts),
		...(draws.loss === undefined ? {} : { loss: streamAccountOf(input.statedLoss!, streams.at(-1)!, draws.loss) }),
		products: input.products.map((product, p) => productAccountOf(product, p, streams[p + 1]!, drawnProducts)),
		together: groupsOf(input.products, drawnProducts),
		...agreed.closure,
		chiSquare: conserved.chiSquare,
		degreesOfFreedom: conserved.degreesOfFreedom,
		...(conserved.probability === undefined ? {} : { probability: conserved.probability }),
		...(misfitRatio === 1 ? {} : { misfitRatio }),
		...(isPartMissing ? { isPartMissing } : {}),
		adjustments: suspects.map(({ adjustment }) => adjustment),
		...(mostSuspicious === undefined ? {} : { mostSuspicious }),
	};
	const { feed, loss, missing } = draws;
	return {
		account: { ...account, warnings: warningsOf(account, conserved) },
		draws: {
			feed,
			...(loss === undefined ? {} : { loss }),
			...(missing === undefined ? {} : { missing }),
			products: Object.fromEntries(input.products.map(({ id }, p) => [id, draws.products[p]!])),
		},
	};
}

/** Streams brought to agree, by what was stated and, where that fails its test, by more than it said it may be off. */
interface Agreed {
	readonly closure: ReturnType<typeof closureOf>;
	readonly misfitRatio: number;
	readonly isPartMissing: boolean;
	readonly isTooMuch: boolean;
	/** As they were stated, so far as their grades tell. */
	readonly balanced: readonly Stream[];
	/** Those that the masses are of: widened, or with what is missing as one more. */
	readonly accounted: readonly Stream[];
	/** Masses of these; test and adjustments of what was stated. */
	readonly conserved: Conserved;
}

function agreedOf(streams: readonly Stream[], input: AccountInput): Agreed {
	const { stated, balanced } = conserveTold(streams, input);
	refuseIfUnclosed(stated);
	const closure = closureOf(streams);
	const isFar = isFarFromClosing(stated) && closure.closure !== undefined;
	const isPartMissing = isFar && closure.closure.high < 1;
	const isTooMuch = isFar && closure.closure.low > 1;
	const misfitRatio = isPartMissing ? 1 : misfitRatioOf(stated);
	const widened = misfitRatio === 1 ? balanced : stretched(balanced, misfitRatio);
	const accounted = isPartMissing ? [...balanced, MISSING_STREAM] : widened;
	const conserved = accounted === balanced ? stated : reconciledAs(stated, accounted, input);
	return { closure, misfitRatio, isPartMissing, isTooMuch, balanced, accounted, conserved };
}

/** Draws of all streams, the products' in the order of the input. */
function drawsOf(streams: readonly Stream[], { accounted, conserved, isPartMissing }: Agreed, input: AccountInput) {
	const drawn = accounted.map((stream, s) => streamDrawsAt(streams[s] ?? stream, s, conserved));
	const leaving = drawn.slice(1);
	const feed = withFreeCopper(drawn[0]!, leaving);
	return {
		feed,
		leaving,
		loss: input.statedLoss === undefined ? undefined : drawn[streams.length - 1],
		missing: isPartMissing ? drawn.at(-1) : undefined,
		products: input.products.map((product, p) => ({
			...drawn[p + 1]!,
			leastParts: leastPartsOf(product, input),
			...performanceOf(drawn[p + 1]!, feed),
		})),
	};
}

function drawnProductsOf(
	{ feed, leaving, products }: ReturnType<typeof drawsOf>,
	{ balanced, isPartMissing, isTooMuch }: Agreed,
	input: AccountInput,
): DrawnProducts {
	const asDrawn: Omit<DrawnProducts, 'lowestFeed'> = {
		own: products,
		ceilings: input.products.map((product, p) => ceilingOf(product, products[p]!, input)),
		floors: products.map(loweredByHalf),
		feed,
		isFeedMeasured: Object.keys(input.feed?.grade ?? {}).length > 0,
		leaving,
		isTooMuch,
		slips: isPartMissing || isTooMuch ? slipsOf(balanced, input) : [],
	};
	return { ...asDrawn, lowestFeed: feedFor(asDrawn, 'floors') };
}

/**
 * The streams brought to agree, and as what they went into it.
 *
 * A bin without a weight, of a feed without one, is only known by how its grades lie beside the feed's. Where they lie so close that this hardly
 * tells, its weight may be anything, and so may the feed's: then its grades tell nothing of the others, and its weight stays unknown.
 */
function conserveTold(
	streams: readonly Stream[],
	{ drawCount }: AccountInput,
): { readonly stated: Conserved; readonly balanced: readonly Stream[] } {
	let balanced = streams;
	for (;;) {
		const stated = conserve(balanced, drawCount);
		if (balanced[0]!.mass !== undefined) return { stated, balanced };
		const isUntold = balanced.map(
			({ mass, shares }, s) =>
				s > 0 &&
				mass === undefined &&
				Object.keys(shares).length > 0 &&
				isHardlyTold(estimateOfDrawn(stated.massKg[s])),
		);
		if (!isUntold.includes(true)) return { stated, balanced };
		balanced = balanced.map((stream, s) => (isUntold[s] ? { ...stream, shares: {}, isFromPhotos: false } : stream));
	}
}

/** What was fed and is in no bin: neither its weight nor its grade is known. */
const MISSING_STREAM: Stream = { key: 'missing', label: 'what is missing', shares: {}, isFromPhotos: false };

/** Masses with other streams (widened, or with what is missing); test and adjustments stay those of what was stated. */
function reconciledAs(stated: Conserved, streams: readonly Stream[], { drawCount }: AccountInput): Conserved {
	const { massKg, componentKg } = conserve(streams, drawCount);
	return { ...stated, massKg, componentKg };
}

/** Exact weights that disagree leave nothing to adjust; a result would hide it. */
function refuseIfUnclosed({ unclosedKg, measured }: Conserved): void {
	if (unclosedKg <= 1e-9 * Math.max(...measured.map(Math.abs), 1e-300)) return;
	throw new TrayError(
		'mass-impossible',
		'Weights or grades that are given as exact disagree with each other.',
		'Give each weight and grade an uncertainty: the step of the scale is enough.',
	);
}

/** The run as if one weight after the other had been misread: that one worked out from all others, where these leave anything for it. */
function slipsOf(balanced: readonly Stream[], { drawCount }: AccountInput): DrawnProducts['slips'] {
	return balanced.flatMap(({ mass, ...bare }, s) => {
		if (mass === undefined) return [];
		const streams = balanced.map((stream, k) => (k === s ? bare : stream));
		const conserved = conserve(streams, drawCount);
		if (!((estimateOfDrawn(conserved.massKg[s])?.value ?? 0) > 0)) return [];
		const [feed, ...leaving] = streams.map((stream, k) => streamDrawsAt(stream, k, conserved));
		return [{ feed: withFreeCopper(feed!, leaving), leaving }];
	});
}

/** A stream's figures; free copper is its part of the copper as the photos saw it. A grade needs no weight: it stands as measured. */
function streamDrawsAt({ freePart, shares }: Stream, s: number, { massKg, componentKg }: Conserved): StreamDraws {
	const contentKg: Partial<Record<Graded, Drawn>> = perComponent(
		(component) => componentKg[s]![COMPONENTS.indexOf(component)],
	);
	const freeOf = (copper: Drawn | undefined) =>
		copper && freePart && drawnFrom([copper, freePart], (all, part) => all * part);
	const withFree = (parts: Partial<Record<Graded, Drawn>>) => {
		const free = freeOf(parts.copper);
		return free === undefined ? parts : { ...parts, freeCopper: free };
	};
	const drawn = streamDrawsOf(massKg[s], withFree(contentKg));
	return drawn.massKg === undefined ? { ...drawn, massFraction: withFree(shares) } : drawn;
}

/** The feed's free copper is what left it: that of the products, and the copper of a loss without photos counted as free. */
function withFreeCopper(feed: StreamDraws, leaving: readonly StreamDraws[]): StreamDraws {
	const isSeen = leaving.some((stream) => stream.contentKg.freeCopper !== undefined);
	const free = leaving.map(({ contentKg }) => contentKg.freeCopper ?? (isSeen ? contentKg.copper : undefined));
	const sum = togetherOf(
		free.map((copper) => streamDrawsOf(undefined, copper === undefined ? {} : { freeCopper: copper })),
	);
	if (feed.massKg === undefined) return feed;
	const { freeCopper: _own, ...components } = feed.contentKg;
	const freeCopper = sum.contentKg.freeCopper;
	return streamDrawsOf(feed.massKg, freeCopper === undefined ? components : { ...components, freeCopper });
}

/** The feed's line: below detection where no product shows a component, and then no lower than their limits together. */
function feedAccountOf({ feed = {}, products }: AccountInput, stream: Stream, drawn: DrawnProducts) {
	const missing = (component: Graded) => isMissingInFeed(products, feed, component);
	const [ceiling, floor] = [feedFor(drawn, 'ceilings'), drawn.lowestFeed];
	const told = streamAccountOf(feed, stream, drawn.feed, { missing, ceiling, floor });
	return { ...told, ...originsOf(stream, drawn.feed) };
}

function originsOf({ shares, mass }: Stream, drawn: StreamDraws) {
	const worked = drawn.massFraction.copper === undefined ? 'unknown' : 'back-calculated';
	return {
		gradeOrigin: shares.copper === undefined ? worked : 'measured',
		massOrigin: mass !== undefined ? 'weighed' : drawn.massKg === undefined ? 'unknown' : 'sum-of-products',
	} as const;
}
