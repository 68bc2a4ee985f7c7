import { GRADED, type Graded } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { standardUncertaintyOf } from '../quantity/standardUncertainty';
import { isUntold, printDay, printMass, printNumber, printShare } from './format';
import { plainly } from './presentation';
import type { CleanlinessRecord, RecordPicture, SealedRecord } from './recordSchema';
import {
	correctionLines,
	limitText,
	measuredText,
	methodLines,
	printChance,
	RECORD_CAUTIONS,
	RECORD_LEAD,
	type RecordState,
	ruleSentence,
	seenSentence,
	sourceText,
	standingNotes,
	stateSentences,
	VERDICT_MARKS,
	VERDICT_WORDS,
} from './recordSentences';
import { COVERAGE_SENTENCE, DEMONSTRATION_SENTENCE, GRADED_NAMES, ROLE_NAMES } from './sentences';
import { printFingerprint, shortCodeOf } from './verifySentences';

/** A record in words and printed numbers: what page, PDF and command line show, each in its own shape. */
export interface RecordSheet {
	readonly number: string;
	readonly title: string;
	readonly lead: string;
	/** What became of it since, the mark of a demonstration; empty for a record that stands. */
	readonly notices: readonly string[];
	readonly facts: readonly { readonly name: string; readonly text: string }[];
	readonly coverage: string;
	readonly composition: readonly {
		readonly key: Graded;
		readonly name: string;
		readonly share: string;
		readonly u: string;
		readonly estimate: Estimate;
	}[];
	readonly rule: string;
	readonly standings: readonly {
		readonly title: string;
		readonly lines: readonly {
			readonly limit: string;
			readonly measured: string;
			readonly chance: string;
			readonly mark: string;
			readonly verdict: string;
			readonly source: string;
		}[];
		readonly notes: readonly string[];
	}[];
	readonly method: readonly string[];
	readonly seen: string;
	readonly checks: readonly string[];
	readonly corrections: readonly string[];
	readonly warnings: readonly string[];
	readonly notLookedFor: string;
	readonly cautions: readonly string[];
	readonly pictures: readonly (RecordPicture & { readonly caption: string })[];
	readonly seal: {
		readonly code: string;
		readonly lines: readonly string[];
		/** What the QR code says. */
		readonly qrText: string;
	};
}

/** Put a record into words: the same for whoever looks, on every device. */
export function recordSheet(sealed: SealedRecord, fingerprint: string, state: RecordState): RecordSheet {
	return plainly(() => sheetOf(sealed, fingerprint, state));
}

function sheetOf({ record, seal }: SealedRecord, fingerprint: string, state: RecordState): RecordSheet {
	const { number, demo, standings, warnings, checks, agreement, notLookedFor } = record;
	return {
		number,
		title: 'Cleanliness record',
		lead: RECORD_LEAD,
		notices: [...stateSentences(state), ...(demo ? [DEMONSTRATION_SENTENCE] : [])],
		facts: factsOf(record),
		coverage: COVERAGE_SENTENCE,
		composition: GRADED.map((key) => ({
			key,
			name: GRADED_NAMES[key],
			share: printShare(record.composition[key]),
			u: uncertaintyText(record.composition[key]),
			estimate: drawnEstimate(record.composition[key]),
		})),
		rule: ruleSentence(record.rule),
		standings: standings.map((standing) => ({
			title: `${standing.name}: ${standing.item}`,
			lines: standing.limits.map((limit) => ({
				limit: limitText(limit),
				measured: measuredText(limit),
				chance: printChance(limit.probability),
				mark: VERDICT_MARKS[limit.verdict],
				verdict: VERDICT_WORDS[limit.verdict],
				source: sourceText(limit),
			})),
			notes: [...sourcesNote(standing.limits.map(sourceText)), ...standingNotes(standing)],
		})),
		method: methodLines(record),
		seen: seenSentence(record),
		checks: [
			...(checks.length === 0 ? ['None: nothing but photos and weights stands behind these figures.'] : checks),
			...(agreement === undefined || checks.length === 0 ? [] : [agreement]),
		],
		corrections: correctionLines(record),
		warnings: warnings.length === 0 ? ['None.'] : warnings,
		notLookedFor: `Not looked for, so neither passed nor failed: ${notLookedFor.join('; ')}.`,
		cautions: RECORD_CAUTIONS,
		pictures: record.pictures.map((picture) => ({
			...picture,
			letters: lettersBesideScale(picture),
			caption: captionOf(picture),
		})),
		seal: {
			code: shortCodeOf(seal.recordSha256),
			lines: [
				`Short code ${shortCodeOf(seal.recordSha256)}; SHA-256 of the data ${seal.recordSha256}`,
				`Signed with Ed25519 by key ${printFingerprint(fingerprint)}`,
			],
			qrText: `Deckside record ${number}\nSHA-256 ${seal.recordSha256}\nKey ${fingerprint}`,
		},
	};
}

function factsOf(record: CleanlinessRecord): RecordSheet['facts'] {
	const { issuer, product, lot, run, dryMassKg, sampling, issuedAt } = record;
	const scoops = sampling.scoops === undefined ? '' : `; ${sampling.scoops} scoops`;
	return [
		{ name: 'Issued', text: `${printDay(issuedAt)}, ${issuedAt.slice(11, 16)} UTC` },
		{
			name: 'Issuer',
			text: issuer.responsible === undefined ? issuer.name : `${issuer.name}; responsible: ${issuer.responsible}`,
		},
		{ name: 'Product', text: productText(product) },
		{ name: 'Lot', text: lot.name },
		{ name: 'Run', text: `${run.name}, ${printDay(run.date)}` },
		{ name: 'Dry mass', text: dryMassKg === undefined ? 'not weighed' : printMass(plainEstimate(dryMassKg)) },
		{ name: 'Sampling', text: `${sampling.words}${scoops}` },
		{ name: 'Seen', text: seenSentence(record) },
	];
}

/** A name that says the kind need not have it beside it. */
function productText({ name, role }: CleanlinessRecord['product']): string {
	const kind = ROLE_NAMES[role];
	return name.startsWith(kind) ? name : `${name} (${kind.toLowerCase()})`;
}

/** One standard uncertainty in points of per cent, two significant digits. @source JCGM 100:2008 7.2.6 */
function uncertaintyText(share: CleanlinessRecord['composition'][Graded]): string {
	const points = 100 * standardUncertaintyOf(share);
	if (share.belowDetectionLimit === true) return '';
	if (points < 0.01) return 'under 0.01';
	return printNumber(points, Math.min(2, Math.max(0, 1 - Math.floor(Math.log10(points)))));
}

/** A share of a record as sums and printers take it. */
export function plainEstimate({
	value,
	low,
	high,
	belowDetectionLimit,
}: CleanlinessRecord['composition'][Graded]): Estimate {
	return { value, low, high, ...(belowDetectionLimit === undefined ? {} : { belowDetectionLimit }) };
}

/** A share as its line is drawn: what can't be told reaches from nothing to all, as its words say. */
function drawnEstimate(share: CleanlinessRecord['composition'][Graded]): Estimate {
	const estimate = plainEstimate(share);
	return isUntold(estimate) ? { ...estimate, low: 0, high: 1 } : estimate;
}

function sourcesNote(sources: readonly string[]): readonly string[] {
	return sources.length === 0 ? [] : [`Source of the limits: ${[...new Set(sources)].join('; ')}.`];
}

function captionOf({ kind, spread, widthMm, heightMm }: RecordPicture): string {
	const size = `${printNumber(widthMm, 0)} by ${printNumber(heightMm, 0)}\u00a0mm`;
	return kind === 'closeUp' ? `Spread ${spread}, part of ${size}` : `Spread ${spread}, whole field of ${size}`;
}

/**
 * Room that the scale bar takes in the lower left corner, beyond its length and above the rim, as parts of the picture's width: its white ground and half a
 * letter, measured on the smallest print (a close-up on Letter paper, 46 mm wide).
 */
const SCALE_ROOM = { beside: 0.08, above: 0.12 } as const;

/** Half a letter on that print, as parts of the picture's width: nearer to the rim a part of it would be cut off. */
const HALF_LETTER = { x: 0.035, y: 0.027 } as const;

/** The letters that the scale bar does not cover, each whole inside the picture: half a letter would say nothing, or something else. */
function lettersBesideScale({ widthMm, heightMm, letters }: RecordPicture): RecordPicture['letters'] {
	const right = scaleBarMm(widthMm) / widthMm + SCALE_ROOM.beside;
	const top = 1 - (SCALE_ROOM.above * widthMm) / heightMm;
	const half = { x: HALF_LETTER.x, y: (HALF_LETTER.y * widthMm) / heightMm };
	const inside = (place: number, rim: number) => Math.min(1 - rim, Math.max(rim, place));
	return letters
		.filter(({ x, y }) => x > right || y < top)
		.map(({ letter, x, y }) => ({ letter, x: inside(x, half.x), y: inside(y, half.y) }));
}

/** A round length for a scale bar, about a quarter of the picture, mm. */
export function scaleBarMm(widthMm: number): number {
	const lengths = [1, 2, 5, 10, 20, 50, 100];
	return lengths.filter((length) => length <= widthMm / 3).at(-1) ?? 1;
}
