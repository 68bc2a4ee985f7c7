import { z } from 'zod';
import { decisionRuleSchema, VERDICTS } from '../conformity/decide';
import { LIMITED_SHARES } from '../conformity/limit';
import { GRADED, PRODUCT_ROLES } from '../material/classes';

/** Version of the record's form; a change that old readers cannot read gets a new one. */
const RECORD_FORM = 'record/1';

const text = (longest: number) => z.string().trim().min(1).max(longest);
const checksum = z.string().regex(/^[0-9a-f]{64}$/, 'A checksum is 64 digits 0 to 9 and a to f.');
const share = z.number().min(0).max(1);
const estimate = z.strictObject({
	value: z.number(),
	low: z.number(),
	high: z.number(),
	belowDetectionLimit: z.boolean().exactOptional(),
});
const count = z.number().int().min(0);

const settlement = z.discriminatedUnion('kind', [
	z.strictObject({ kind: z.literal('spreads'), more: count, readsAt: share }),
	z.strictObject({ kind: z.literal('check'), readsAt: share }),
	z.strictObject({ kind: z.literal('sortParts') }),
	z.strictObject({ kind: z.literal('detection') }),
]);

const limitStanding = z.strictObject({
	share: z.enum(LIMITED_SHARES),
	side: z.enum(['least', 'most']),
	fraction: share,
	isOnEach: z.boolean(),
	source: z.strictObject({ title: text(200), year: text(120) }),
	measured: estimate,
	/** That the true share lies within the limit; absent where that cannot be said. */
	probability: share.exactOptional(),
	verdict: z.enum(VERDICTS),
	/** Beside a limit that is not decided absent where only taking out what was photographed twice would. */
	settlement: settlement.exactOptional(),
});

const standing = z.strictObject({
	id: text(40),
	kind: z.enum(['tradeCode', 'regulation', 'contract']),
	name: text(120),
	item: text(200),
	limits: z.array(limitStanding).max(20),
	/** Place of the limit closest to failing. */
	closest: count.exactOptional(),
	together: z.strictObject({ probability: share.exactOptional(), verdict: z.enum(VERDICTS) }).exactOptional(),
	conditions: z.array(text(200)).max(20),
});

const picture = z.strictObject({
	kind: z.enum(['field', 'closeUp']),
	spread: count,
	/** SHA-256 of the untouched original it was made from, and of the two pictures as they lie in the store. */
	originalSha256: checksum,
	photoSha256: checksum,
	outlinedSha256: checksum,
	widthMm: z.number().positive(),
	heightMm: z.number().positive(),
	/** Class letters on pieces; x and y as fractions of width and height. */
	letters: z.array(z.strictObject({ letter: text(4), x: share, y: share })).max(200),
});

/** Most letters of a warning. */
export const LONGEST_WARNING = 800;

/** Ways in which a person changed what the program would have done. */
const CORRECTIONS = ['cornersByHand', 'readingByHand', 'photosTakenOut', 'spotsTaught'] as const;

/**
 * A cleanliness record: everything that is signed. One product of one run as it stood when the record was made; figures unrounded,
 * shares as fractions, masses in kilograms.
 */
export const recordSchema = z.strictObject({
	deckside: z.literal(RECORD_FORM, {
		error: `The file does not say "deckside": "${RECORD_FORM}", so it is not a record of this version.`,
	}),
	number: z.string().regex(/^\d{8}-[0-9A-HJKMNP-TV-Z]{5}$/, 'This is not the number of a record.'),
	issuedAt: z.iso.datetime(),
	issuer: z.strictObject({ name: text(120), responsible: text(120).exactOptional() }),
	/** Invented data: said on every page. */
	demo: z.boolean(),
	product: z.strictObject({ name: text(120), role: z.enum(PRODUCT_ROLES) }),
	lot: z.strictObject({ name: text(200) }),
	run: z.strictObject({ name: text(200), date: z.iso.date() }),
	/** As weighed, moisture taken off; absent where it was not weighed. */
	dryMassKg: estimate.exactOptional(),
	sampling: z.strictObject({ words: text(300), scoops: z.number().int().min(1).max(1000).exactOptional() }),
	composition: z.record(z.enum(GRADED), estimate),
	rule: decisionRuleSchema,
	standings: z.array(standing).max(4),
	seen: z.strictObject({
		spreads: count,
		photos: count,
		granules: count,
		areaMm2: z.number().min(0),
		massG: z.number().min(0),
	}),
	checks: z.array(text(400)).max(200),
	/** Whether the checks agree with the photos, in a sentence. */
	agreement: text(600).exactOptional(),
	/** Counts; a kind that is missing was not known yet when the record was made. */
	corrections: z.partialRecord(z.enum(CORRECTIONS), count),
	warnings: z.array(text(LONGEST_WARNING)).max(200),
	notLookedFor: z.array(text(200)).min(1),
	method: z.strictObject({
		material: text(120),
		readBy: z.array(z.enum(['threshold', 'model'])).min(1),
		surfaces: z.array(z.enum(['mat', 'tray'])).min(1),
		isLockedCopperChecked: z.boolean(),
		matCheckedOn: text(40).exactOptional(),
		engine: text(60),
		seed: z.number().int(),
		draws: count,
	}),
	photos: z.array(z.strictObject({ spread: count, sha256: checksum, sizeBytes: count })).min(1),
	pictures: z.array(picture).max(12),
});
export type CleanlinessRecord = z.infer<typeof recordSchema>;
export type RecordStanding = CleanlinessRecord['standings'][number];
export type RecordPicture = CleanlinessRecord['pictures'][number];

/** What proves that nothing was changed: checksums of the whole and of each part, signed with the installation's key. */
export const sealSchema = z.strictObject({
	algorithm: z.literal('Ed25519'),
	/** SHA-256 of the record's canonical JSON (RFC 8785). */
	recordSha256: checksum,
	/** The same of each top-level part, so that a change can be named. */
	parts: z.record(z.string().max(40), checksum),
	/** DER of the public key (RFC 8410), base64. */
	publicKey: z.base64().max(200),
	/** Over the canonical JSON of the seal without this field, base64. */
	signature: z.base64().max(200),
});
export type Seal = z.infer<typeof sealSchema>;

/** A record as a file. */
export interface SealedRecord {
	readonly deckside: 'sealed-record/1';
	readonly record: CleanlinessRecord;
	readonly seal: Seal;
}

/** A record's file before it is known whether its data still is what was signed. */
export const recordFileSchema = z.strictObject({
	deckside: z.literal('sealed-record/1'),
	record: z.record(z.string(), z.unknown()),
	seal: sealSchema,
});
