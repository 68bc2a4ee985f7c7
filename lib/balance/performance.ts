import type { LeastParts } from '../grade/leastParts';
import { COMPONENTS, type Component, GRADED, type Graded } from '../material/classes';
import { knownPerName } from '../quantity/perName';
import { type Drawn, drawnFrom, ratioOfDrawn, sumOfDrawn } from './drawn';

/** One stream of the reconciled run as figures with draws; what is not determined is missing. */
export interface StreamDraws {
	readonly massKg?: Drawn;
	/** Kilograms of each component, and of free copper where photos gave it. */
	readonly contentKg: Readonly<Partial<Record<Graded, Drawn>>>;
	readonly massFraction: Readonly<Partial<Record<Graded, Drawn>>>;
	/** Of one product: the part of each component that is there at least. */
	readonly leastParts?: LeastParts;
}

/** One or several products against the feed, as figures with draws. */
export interface PerformanceDraws {
	readonly yieldFraction?: Drawn;
	readonly recovery: Readonly<Partial<Record<Graded, Drawn>>>;
	readonly upgradeRatio: Readonly<Partial<Record<Graded, Drawn>>>;
	readonly separationEfficiency?: Drawn;
}

/** A stream from its mass and the masses of its components. */
export function streamDrawsOf(massKg: Drawn | undefined, contentKg: StreamDraws['contentKg']): StreamDraws {
	const massFraction = perGraded((component) => ratioOfDrawn(contentKg[component], massKg));
	return { ...(massKg === undefined ? {} : { massKg }), contentKg, massFraction };
}

/** Several streams as if poured together; a figure is missing where it is missing for one of them. */
export function togetherOf(streams: readonly StreamDraws[]): StreamDraws {
	// one alone keeps the grade that it has without a weight
	if (streams.length === 1) return streams[0]!;
	const contentKg = perGraded((component) => sumOfDrawn(streams.map((stream) => stream.contentKg[component])));
	return streamDrawsOf(sumOfDrawn(streams.map((stream) => stream.massKg)), contentKg);
}

/**
 * Yield, recovery, upgrade ratio and separation efficiency of a product against the feed.
 *
 * @param feed - reconciled, so that no recovery can pass 1
 * @source definitions: Wills and Finch, Wills' Mineral Processing Technology (2016), chapter 1; separation efficiency:
 *   Schulz, Trans. SME-AIME 247 (1970) 81
 */
export function performanceOf(product: StreamDraws, feed: StreamDraws): PerformanceDraws {
	const yieldFraction = ratioOfDrawn(product.massKg, feed.massKg);
	const rest = (stream: StreamDraws) => {
		const { massKg, contentKg } = stream;
		return massKg && contentKg.copper && drawnFrom([massKg, contentKg.copper], (all, copper) => all - copper);
	};
	const recovery = perGraded((component) => ratioOfDrawn(product.contentKg[component], feed.contentKg[component]));
	const restRecovery = ratioOfDrawn(rest(product), rest(feed));
	const efficiency =
		recovery.copper && restRecovery && drawnFrom([recovery.copper, restRecovery], (copper, others) => copper - others);
	return {
		...(yieldFraction === undefined ? {} : { yieldFraction }),
		recovery,
		upgradeRatio: perGraded((component) => ratioOfDrawn(product.massFraction[component], feed.massFraction[component])),
		...(efficiency === undefined ? {} : { separationEfficiency: efficiency }),
	};
}

/** What can still be said of recoveries when some streams are weighed but not graded. */
export interface RecoveryLimits {
	/** If the ungraded streams held nothing of the component, and if they held nothing else; upper and lower limit. */
	readonly highest: Drawn;
	readonly lowest: Drawn;
}

/**
 * Limits of a recovery where the feed's content is not determined: what the ungraded streams hold lies between nothing
 * and their whole mass.
 *
 * @param graded - all leaving streams whose content is determined
 * @param ungradedKg - mass of the others together; undefined where it is not determined, and then the lower limit is 0
 * @returns undefined where the product's own content is not determined
 */
export function recoveryLimitsOf(
	component: Component,
	product: StreamDraws,
	graded: readonly StreamDraws[],
	ungradedKg: Drawn | undefined,
): RecoveryLimits | undefined {
	const own = product.contentKg[component];
	const known = sumOfDrawn(graded.map((stream) => stream.contentKg[component]));
	const highest = ratioOfDrawn(own, known);
	if (own === undefined || known === undefined || highest === undefined) return undefined;
	const lowest =
		ungradedKg === undefined
			? drawnFrom([own], () => 0)
			: drawnFrom([own, known, ungradedKg], (part, sum, more) => (sum + more > 0 ? part / (sum + more) : Number.NaN));
	return { highest, lowest };
}

/** A record of figures per component and for free copper, without those that are missing. */
export function perGraded<Figure>(
	figureOf: (component: Graded) => Figure | undefined,
): Partial<Record<Graded, Figure>> {
	return knownPerName(GRADED, figureOf);
}

/** The same for the components alone. */
export function perComponent<Figure>(
	figureOf: (component: Component) => Figure | undefined,
): Partial<Record<Component, Figure>> {
	return knownPerName(COMPONENTS, figureOf);
}
