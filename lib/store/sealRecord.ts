import { createPublicKey, verify } from 'node:crypto';
import { TrayError } from '../errors/TrayError';
import { canonicalJson } from '../report/canonicalJson';
import {
	type CleanlinessRecord,
	recordFileSchema,
	recordSchema,
	type Seal,
	type SealedRecord,
} from '../report/recordSchema';
import type { RecordCheck } from '../report/verifySentences';
import { sha256Of } from './sha256Of';

function partsOf(record: Readonly<Record<string, unknown>>): Record<string, string> {
	return Object.fromEntries(Object.entries(record).map(([name, part]) => [name, sha256Of(canonicalJson(part))]));
}

/** Seal a record with a key: checksums of the whole and of its parts, signed. */
export function sealRecord(
	record: CleanlinessRecord,
	key: { readonly publicKey: string; readonly sign: (message: string) => string },
): SealedRecord {
	// through JSON, so that what is signed is what is written and read again
	const plain: CleanlinessRecord = recordSchema.parse(JSON.parse(canonicalJson(record)));
	const unsigned = {
		algorithm: 'Ed25519' as const,
		recordSha256: sha256Of(canonicalJson(plain)),
		parts: partsOf(plain),
		publicKey: key.publicKey,
	};
	return {
		deckside: 'sealed-record/1',
		record: plain,
		seal: { ...unsigned, signature: key.sign(canonicalJson(unsigned)) },
	};
}

/** A record file that was read, with what is wrong with it. */
export interface CheckedFile {
	/** Absent where the data is no longer in a record's form. */
	readonly record?: CleanlinessRecord;
	readonly check: RecordCheck;
}

/**
 * Check a record's data file and photos against its seal.
 *
 * Data is checked part by part, so that a change is named. Photos are found by their bytes, whatever they are called.
 *
 * @param text - the data file
 * @param photos - name and SHA-256 of each photo at hand; none is no fault
 * @throws TrayError `file-unreadable` when the text is no record file at all
 */
export function checkRecordFile(
	text: string,
	photos: readonly { readonly name: string; readonly sha256: string }[],
): CheckedFile {
	const file = readFileText(text);
	const { seal } = file;
	const now = partsOf(file.record);
	const names = [...new Set([...Object.keys(seal.parts), ...Object.keys(now)])];
	const changed = names.filter((name) => seal.parts[name] !== now[name]).sort();
	const { signature, ...unsigned } = seal;
	const parsed = recordSchema.safeParse(file.record);
	const own = photosOf(file.record);
	return {
		...(parsed.success ? { record: parsed.data } : {}),
		check: {
			number: typeof file.record.number === 'string' ? file.record.number.slice(0, 40) : '?',
			isDataUnchanged: changed.length === 0 && sha256Of(canonicalJson(file.record)) === seal.recordSha256,
			changedParts: changed,
			isSignatureGood: isSigned(unsigned, signature),
			isWellFormed: parsed.success,
			fingerprint: sha256Of(Buffer.from(seal.publicKey, 'base64')),
			recordSha256: seal.recordSha256,
			photos: photos.map(({ name, sha256 }) => {
				const spread = own.find((one) => one.sha256 === sha256)?.spread;
				return { name, ...(spread === undefined ? {} : { spread }) };
			}),
			absentSpreads: own
				.filter(({ sha256 }) => !photos.some((photo) => photo.sha256 === sha256))
				.map(({ spread }) => spread),
		},
	};
}

function readFileText(text: string) {
	let given: unknown;
	try {
		given = JSON.parse(text);
	} catch (cause) {
		const message = 'The file is not JSON: it is cut short, damaged, or another kind of file.';
		throw new TrayError('file-unreadable', message, 'Choose the data file of a record.', { cause });
	}
	const parsed = recordFileSchema.safeParse(given);
	if (parsed.success) return parsed.data;
	const message = whyUnreadable(given, parsed.error.issues);
	throw new TrayError('file-unreadable', message, 'Choose the file that the record was saved as.');
}

/** In plain words: the schema's own say nothing to somebody who was sent a file. */
function whyUnreadable(given: unknown, issues: readonly { readonly path: readonly PropertyKey[] }[]): string {
	const isRecord = recordFileSchema.pick({ deckside: true }).loose().safeParse(given).success;
	if (!isRecord) return 'This is not the data file of a record.';
	const parts = ['record', 'seal'].filter((part) => issues.some(({ path }) => path[0] === part));
	const names = parts.map((part) => (part === 'record' ? 'data' : 'seal')).join(' and ');
	return parts.length === 0
		? "This record's data file was changed: it holds more than a record and its seal."
		: `This record's data file was changed or cut: its ${names} can't be read, so nothing of it can be checked.`;
}

/** The photos that a record names, as far as its data still can be read. */
function photosOf({ photos }: Readonly<Record<string, unknown>>): readonly { sha256: string; spread: number }[] {
	const parsed = recordSchema.shape.photos.safeParse(photos);
	return parsed.success ? parsed.data : [];
}

function isSigned({ publicKey, ...rest }: Omit<Seal, 'signature'>, signature: string): boolean {
	try {
		const key = createPublicKey({ key: Buffer.from(publicKey, 'base64'), format: 'der', type: 'spki' });
		if (key.asymmetricKeyType !== 'ed25519') return false;
		const message = canonicalJson({ ...rest, publicKey });
		return verify(null, Buffer.from(message, 'utf8'), key, Buffer.from(signature, 'base64'));
	} catch {
		return false; // a key that is none has signed nothing
	}
}
