import type { DecisionRule, Verdict } from '../conformity/decide';
import type { LimitedShare } from '../conformity/limit';
import { printDay, printNumber, printPercent, printPlain, printShare } from './format';
import type { CleanlinessRecord, RecordStanding } from './recordSchema';
import { printProbability } from './sentences';

/** What has become of a record since it was sealed. */
export interface RecordState {
	readonly withdrawn?: { readonly on: string; readonly reason: string };
	/** Number of the record that took its place. */
	readonly supersededBy?: string;
	/** The run no longer says what the record was made from. */
	readonly isRunChanged: boolean;
}

/** First line of every record, on every page of it. */
export const RECORD_LEAD =
	'A record, not a certificate: an estimate from photographs of a sample, not an assay. Results refer only to the sample photographed.';

/** What a person who relies on a record must keep in mind. */
export const RECORD_CAUTIONS: readonly string[] = [
	'A visual estimate, not an assay. Settle on an assay.',
	'Not for custody transfer: where weight sets the price, use a scale approved and sealed for trade.',
	'Local codes and licensed practice come first, for weighing, for waste and for records of scrap.',
];

/** Said of every trade code. */
const BUYER_GOVERNS = "Buyer's analysis governs.";

/** The three verdicts as written. */
export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
	meets: 'Meets',
	doesNotMeet: 'Does not meet',
	notDecided: 'Not decided',
};

/** Shape before a verdict, so that it can be told without colour. */
export const VERDICT_MARKS: Readonly<Record<Verdict, string>> = { meets: '●', doesNotMeet: '■', notDecided: '○' };

/** Shares that limits are set on, as written. */
const SHARE_NAMES: Readonly<Record<LimitedShare, string>> = {
	copper: 'Copper',
	aluminium: 'Aluminium',
	insulation: 'Insulation',
	other: 'Other',
	foreign: 'Foreign (all that is not copper)',
};

/** What became of a record, the gravest first; empty while it stands. */
export function stateSentences({ withdrawn, supersededBy, isRunChanged }: RecordState): readonly string[] {
	return [
		...(withdrawn === undefined
			? []
			: [`Withdrawn on ${printDay(withdrawn.on)}${withdrawn.reason === '' ? '' : `: ${withdrawn.reason}`}.`]),
		...(supersededBy === undefined ? [] : [`Superseded by record ${supersededBy}.`]),
		...(supersededBy === undefined && isRunChanged
			? ['The run, or the way its photos are read, has changed since this record was made. It stands as it was sealed.']
			: []),
	];
}

/** The decision rule in words. */
export function ruleSentence(rule: DecisionRule): string {
	if (rule.kind === 'simple') {
		return 'Decision rule: simple acceptance. The best value alone decides; buyer and seller share the risk, which near a limit is as large as 1 in 2.';
	}
	const [risk, chance] = [rule.risk, 1 - rule.risk].map((share) => percent(share));
	return `Decision rule: guarded. A limit counts as met only where the chance that the product meets it is at least ${chance}, as not met only where it is at most ${risk}; in between it is not decided.`;
}

function percent(fraction: number): string {
	return `${printPlain(100 * fraction, 2)}\u00a0%`;
}

/** `Copper at least 97 %`. */
export function limitText({ share, side, fraction, isOnEach }: RecordStanding['limits'][number]): string {
	const which = isOnEach ? 'Other metals, each' : SHARE_NAMES[share];
	return `${which} ${side === 'least' ? 'at least' : 'at most'} ${percent(fraction)}`;
}

/** A chance found from draws: never nothing, never certain. */
export function printChance(probability: number | undefined): string {
	if (probability === undefined) return 'cannot be told';
	if (probability > 0.999) return `over ${printPercent(0.999, 1)}`;
	return probability > 0.9 ? printPercent(probability, 1) : printProbability(probability);
}

/** Where a limit is written: title and year. */
export function sourceText({ source }: RecordStanding['limits'][number]): string {
	return `${source.title} (${source.year})`;
}

/** What is to be said of a class beyond its lines. */
export function standingNotes(standing: RecordStanding): readonly string[] {
	const { kind, name, limits, closest, together, conditions } = standing;
	const nearest = closest === undefined || limits.length < 2 ? undefined : limits[closest];
	const doubtful = limits.filter(({ verdict }) => verdict === 'notDecided');
	return [
		...(kind === 'tradeCode'
			? [
					limits.length === 0
						? `${name} names no limit: shares above are for information. ${BUYER_GOVERNS}`
						: `Measured shares beside the limits of the code; whether the lot is ${name} is not said here. ${BUYER_GOVERNS}`,
				]
			: []),
		...(kind === 'regulation'
			? ['Only the share is set against its limit; the other criteria are not judged here.']
			: []),
		...(together === undefined ? [] : [togetherSentence(together)]),
		...(nearest === undefined ? [] : [nearestSentence(nearest)]),
		...doubtful.map((limit) => settlementSentence(limit)),
		...(conditions.length === 0 ? [] : [`Also asked for, and not looked for here: ${conditions.join('; ')}.`]),
	];
}

/** The limit that decides first: the one that is missed by most, or else the next to fail. */
function nearestSentence(limit: RecordStanding['limits'][number]): string {
	const isMissed = limit.verdict === 'doesNotMeet';
	return `${isMissed ? 'Furthest from being met' : 'Closest to failing'}: ${limitText(limit)}.`;
}

function togetherSentence({ probability, verdict }: NonNullable<RecordStanding['together']>): string {
	const chance = probability === undefined ? '' : ` (chance that all hold at once: ${printChance(probability)})`;
	return `All limits of the contract together: ${VERDICT_WORDS[verdict]}${chance}.`;
}

/** What would settle a limit that is not decided. */
export function settlementSentence(limit: RecordStanding['limits'][number]): string {
	const { settlement, side, probability } = limit;
	const name = limitText(limit);
	if (settlement === undefined && probability === undefined) {
		return `${name}: pieces of this product stand in two places of the run (see the warning), so nothing is claimed. Leave them in one and make the record again.`;
	}
	if (settlement === undefined) return `${name}: a laboratory's result would settle it.`;
	if (settlement.kind === 'detection') {
		return `${name}: none was told for certain, but more than the limit could have been missed. More spreads, a hand sort or a laboratory's result would settle it.`;
	}
	if (settlement.kind === 'sortParts') {
		return `${name}: what is seen together is beyond it, which says nothing of each. A sort by hand with a magnet, or a laboratory's result, would settle it.`;
	}
	// a range so wide that no reading would do
	const isOutOfReach = side === 'least' ? settlement.readsAt >= 1 : settlement.readsAt <= 0;
	const reads = isOutOfReach
		? ''
		: `, or a value that reads ${printNumber(100 * settlement.readsAt, 1)}\u00a0% or ${side === 'least' ? 'more' : 'less'} with this range`;
	return settlement.kind === 'spreads'
		? `${name}: about ${settlement.more} more ${settlement.more === 1 ? 'spread' : 'spreads'} like these would settle it if the value stays${reads}.`
		: `${name}: more spreads alone hardly settle it. A hand sort or a laboratory's result would${reads}.`;
}

/** How the record was arrived at, in five lines. */
export function methodLines({ method }: CleanlinessRecord): readonly string[] {
	const { material, readBy, surfaces, isLockedCopperChecked, matCheckedOn, engine, seed, draws } = method;
	const surface = surfaces.map((one) => ({ mat: 'a printed mat', tray: 'a plain tray' })[one]).join(' and on ');
	const reader = readBy
		.map((one) => ({ model: 'a trained model', threshold: 'colour thresholds' })[one])
		.join(' and by ');
	const mat =
		matCheckedOn === undefined ? 'mat print not checked' : `mat print last checked on ${printDay(matCheckedOn)}`;
	return [
		`Spreads one layer thick on ${surface}, photographed from above; length and light corrected (${surfaces.includes('mat') ? mat : 'corners given'}).`,
		`Pixels called by ${reader}, with the material "${material}"; error rates measured on pictures of known truth.`,
		'Area times thickness from local width times density gives mass; area not decided widens the ranges.',
		`Copper locked in insulation is counted in copper: ${isLockedCopperChecked ? 'from stripped pieces' : 'by a default, not checked'}.`,
		'Shares rest on photos and checks of this product alone; in the balance of the run its weights may move them a little.',
		`Ranges hold the true value 95 times in 100 (Monte Carlo, JCGM 101; ${printNumber(draws, 0)} draws, seed ${seed}; chances by JCGM 106). Deckside engine ${engine}.`,
	];
}

/** `3 spreads (3 photos): about 1 240 granules, 63 cm² of pieces, about 64 g.` */
export function seenSentence({ seen }: CleanlinessRecord): string {
	const { spreads, photos, granules, areaMm2, massG } = seen;
	return `${count(spreads, 'spread')} (${count(photos, 'photo')}): about ${printNumber(granules, 0)} granules, ${printNumber(areaMm2 / 100, 0)}\u00a0cm² of pieces, about ${printNumber(massG, massG < 10 ? 1 : 0)}\u00a0g.`;
}

/** Corrections by hand with their counts. */
export function correctionLines({ corrections, seen }: CleanlinessRecord): readonly string[] {
	const { cornersByHand = 0, readingByHand = 0, photosTakenOut = 0, spotsTaught = 0 } = corrections;
	if (cornersByHand + readingByHand + photosTakenOut + spotsTaught === 0) return ['None.'];
	return [
		...(cornersByHand > 0
			? [`Corners of the field set by hand: ${cornersByHand} of ${count(seen.photos, 'photo')}.`]
			: []),
		...(readingByHand > 0
			? [`Way of reading chosen by hand: ${readingByHand} of ${count(seen.photos, 'photo')}.`]
			: []),
		...(photosTakenOut > 0 ? [`Photos of the product that were taken out or do not count: ${photosTakenOut}.`] : []),
		...(spotsTaught > 0 ? [`Spots of pictures that were called by hand to teach the material: ${spotsTaught}.`] : []),
	];
}

function count(n: number, word: string): string {
	return `${printNumber(n, 0)} ${word}${n === 1 ? '' : 's'}`;
}

/** The measured share beside a limit. */
export function measuredText({ measured }: RecordStanding['limits'][number]): string {
	return printShare(measured);
}
