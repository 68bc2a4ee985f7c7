/** What checking a record's data file and photos against its seal found. */
export interface RecordCheck {
	readonly number: string;
	readonly isDataUnchanged: boolean;
	/** Top-level parts of the record whose checksum differs from the sealed one. */
	readonly changedParts: readonly string[];
	readonly isSignatureGood: boolean;
	/** The data still has a record's form. */
	readonly isWellFormed: boolean;
	/** SHA-256 of the public key, hex. */
	readonly fingerprint: string;
	readonly recordSha256: string;
	/** Photos at hand; `spread` where it is one of the record's. */
	readonly photos: readonly { readonly name: string; readonly spread?: number }[];
	/** Spreads of the record's photos that were not at hand, one entry a photo. */
	readonly absentSpreads: readonly number[];
}

/** One finding: a sentence, and whether it is as it should be. */
export interface Finding {
	readonly isGood: boolean;
	readonly words: string;
}

/** Parts of a record as written on screens. */
const PART_NAMES: Readonly<Record<string, string>> = {
	deckside: 'form',
	number: 'number',
	issuedAt: 'date of issue',
	issuer: 'issuer',
	demo: 'mark of a demonstration',
	product: 'product',
	lot: 'lot',
	run: 'run',
	dryMassKg: 'dry mass',
	sampling: 'way of sampling',
	composition: 'composition',
	rule: 'decision rule',
	standings: 'standing against classes',
	seen: 'amounts seen',
	checks: 'checks by hand',
	agreement: 'agreement of the checks',
	corrections: 'corrections by hand',
	warnings: 'warnings',
	notLookedFor: 'what was not looked for',
	method: 'method',
	photos: 'list of photos',
	pictures: 'list of pictures',
};

/** Everything is as it was sealed; photos that are not at hand are no fault. */
export function isUntouched({ isDataUnchanged, isSignatureGood, isWellFormed, photos }: RecordCheck): boolean {
	return isDataUnchanged && isSignatureGood && isWellFormed && photos.every(({ spread }) => spread !== undefined);
}

/**
 * What was found, line by line, the verdict first.
 *
 * @param owner - whose the key is; left out where there is no installation to compare with
 */
export function findingsOf(check: RecordCheck, owner?: 'present' | 'earlier' | 'unknown'): readonly Finding[] {
	const whole = isUntouched(check);
	return [
		{
			isGood: whole,
			words: whole
				? `Record ${check.number} matches its seal.`
				: `Record ${check.number} does not match its seal. Do not rely on it.`,
		},
		dataFinding(check),
		{
			isGood: check.isSignatureGood,
			words: check.isSignatureGood
				? `The seal is signed by the key with fingerprint ${printFingerprint(check.fingerprint)}.`
				: `The seal's signature does not match: the seal was changed, or not made by the key it names (${printFingerprint(check.fingerprint)}).`,
		},
		...ownerFinding(owner),
		...check.photos.map(({ name, spread }) => ({
			isGood: spread !== undefined,
			words:
				spread === undefined
					? `Photo ${name}: not one of this record's photos. It was changed, or it is another photo.`
					: `Photo ${name}: the untouched original of spread ${spread}.`,
		})),
		...(check.absentSpreads.length === 0
			? []
			: [{ isGood: true, words: `Not compared, because not given: ${absentText(check.absentSpreads)}.` }]),
	];
}

function dataFinding({ isDataUnchanged, changedParts, isWellFormed }: RecordCheck): Finding {
	if (isDataUnchanged && isWellFormed) return { isGood: true, words: 'Every part of the data is as it was sealed.' };
	if (changedParts.length === 0) {
		return { isGood: false, words: 'The data as a whole is not what was sealed, or not in the form of a record.' };
	}
	const names = changedParts.map((part) => PART_NAMES[part] ?? part.slice(0, 40));
	return { isGood: false, words: `Changed since it was sealed: ${names.join(', ')}.` };
}

function ownerFinding(owner: 'present' | 'earlier' | 'unknown' | undefined): readonly Finding[] {
	if (owner === undefined) {
		return [{ isGood: true, words: 'Compare the fingerprint with the one the issuer gave you by another way.' }];
	}
	const words = {
		present: 'That is the key of this installation.',
		earlier: 'That is an earlier key of this installation.',
		unknown: 'That is not a key of this installation: compare the fingerprint with the one the issuer gave you.',
	};
	return [{ isGood: owner !== 'unknown', words: words[owner] }];
}

function absentText(spreads: readonly number[]): string {
	const one = spreads.length === 1;
	return `${spreads.length} ${one ? 'photo' : 'photos'} (of ${one ? 'spread' : 'spreads'} ${[...new Set(spreads)].join(', ')})`;
}

/** A fingerprint in groups of four, as it is read out: `8f3a 0c12 ...`. */
export function printFingerprint(hex: string): string {
	return hex.replace(/(.{4})(?!$)/g, '$1 ');
}

/** Digits of the short code: no I, L, O, U, that are misread. @source Crockford's base 32, common practice, no source */
const CODE_DIGITS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/**
 * A record's short code, to be compared by eye or by phone: the first 50 bits of the data's checksum.
 *
 * @returns ten digits in two groups: `K7Q2M-9XD4R`
 */
export function shortCodeOf(recordSha256: string): string {
	let bits = BigInt(`0x${recordSha256.slice(0, 13)}`) >> 2n;
	let code = '';
	for (let i = 0; i < 10; i++) {
		code = (CODE_DIGITS[Number(bits & 31n)] ?? '') + code;
		bits >>= 5n;
	}
	return `${code.slice(0, 5)}-${code.slice(5)}`;
}
