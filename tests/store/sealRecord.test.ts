import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { canonicalJson } from '@/lib/report/canonicalJson';
import { findingsOf, isUntouched, shortCodeOf } from '@/lib/report/verifySentences';
import { checkRecordFile, sealRecord } from '@/lib/store/sealRecord';
import { sha256Of } from '@/lib/store/sha256Of';
import { madeKey, madeRecord, madeSealed } from '../report/madeRecord';

const sealed = madeSealed();
const file = JSON.stringify(sealed, null, 2);
const words = (text: string, photos: { name: string; sha256: string }[] = []) =>
	findingsOf(checkRecordFile(text, photos).check)
		.map((finding) => finding.words)
		.join(' ');

describe('a record file', () => {
	test('as it was saved matches, however it is laid out', () => {
		expect(isUntouched(checkRecordFile(file, []).check)).toBe(true);
		expect(isUntouched(checkRecordFile(JSON.stringify(sealed), []).check)).toBe(true);
		const turned = { seal: sealed.seal, record: Object.fromEntries(Object.entries(sealed.record).reverse()) };
		expect(isUntouched(checkRecordFile(JSON.stringify({ deckside: sealed.deckside, ...turned }), []).check)).toBe(true);
	});

	test.each([
		['0.96321, ', '0.96421, ', 'composition'],
		['4.1202', '4.1203', 'dry mass'],
		['"Lot A"', '"Lot B"', 'lot'],
		['0.23175', '0.98175', 'standing against classes'],
		['Wet shine hides 4 %', 'Wet shine hides 0 %', 'warnings'],
		['20260512-7K2QM', '20260512-7K2QN', 'number'],
	])('with %s made %s fails and names the %s', (from, to, part) => {
		const changed = file.replace(from.replace(', ', ','), to.replace(', ', ','));
		expect(changed).not.toBe(file);
		expect(isUntouched(checkRecordFile(changed, []).check)).toBe(false);
		expect(words(changed)).toMatch(new RegExp(`Changed since it was sealed: [^.]*${part}`));
	});

	test('with a part left out or added fails and names it', () => {
		const { warnings: _, ...rest } = sealed.record;
		expect(words(JSON.stringify({ ...sealed, record: rest }))).toContain('Changed since it was sealed: warnings');
		const more = { ...sealed.record, verdict: 'first class' };
		expect(words(JSON.stringify({ ...sealed, record: more }))).toContain('Changed since it was sealed: verdict');
	});

	test('whose checksums were mended after a change fails by its signature', () => {
		const record = madeRecord({ lot: { name: 'Lot B' } });
		const forged = { ...sealed, record, seal: { ...sealRecord(record, madeKey()).seal, ...pick(sealed.seal) } };
		const { check } = checkRecordFile(JSON.stringify(forged), []);
		expect(check).toMatchObject({ isDataUnchanged: true, isSignatureGood: false });
		expect(words(JSON.stringify(forged))).toContain("The seal's signature does not match");
	});

	test('signed by another key is told by its fingerprint', () => {
		const key = madeKey();
		const other = sealRecord(madeRecord(), key);
		const { check } = checkRecordFile(JSON.stringify(other), []);
		expect(isUntouched(check)).toBe(true);
		expect(check.fingerprint).toBe(sha256Of(Buffer.from(key.publicKey, 'base64')));
		expect(check.fingerprint).not.toBe(checkRecordFile(file, []).check.fingerprint);
	});

	test('that is none is refused with what to do', () => {
		expect(() => checkRecordFile('{', [])).toThrow('not JSON');
		const given: readonly [unknown, string][] = [
			[{ deckside: 'run/1' }, 'This is not the data file of a record.'],
			[[sealed], 'This is not the data file of a record.'],
			[{ ...sealed, seal: undefined }, "its seal can't be read, so nothing of it can be checked."],
			[{ ...sealed, record: [], seal: { ...sealed.seal, recordSha256: 'ab' } }, "its data and seal can't be read"],
			[{ ...sealed, note: 'by hand' }, 'it holds more than a record and its seal.'],
		];
		for (const [file, words] of given) {
			expect(() => checkRecordFile(JSON.stringify(file), [])).toThrow(words);
			expect(() => checkRecordFile(JSON.stringify(file), [])).not.toThrow(
				/Invalid|expected|received|checksum|deckside/,
			);
		}
	});

	test('with any one figure changed never matches', () => {
		const figure = fc.double({ min: 0, max: 1, noNaN: true });
		fc.assert(
			fc.property(figure, (value) => {
				const copper = { ...sealed.record.composition.copper, value };
				const record = { ...sealed.record, composition: { ...sealed.record.composition, copper } };
				const same = Object.is(value, sealed.record.composition.copper.value);
				expect(isUntouched(checkRecordFile(JSON.stringify({ ...sealed, record }), []).check)).toBe(same);
			}),
		);
	});
});

function pick({ signature, publicKey }: typeof sealed.seal) {
	return { signature, publicKey };
}

describe('photos', () => {
	const photo = Buffer.from('the bytes of a photo');
	const changed = Buffer.from('the bytes of a phot0');
	const withPhoto = JSON.stringify(
		madeSealed({
			photos: [
				{ spread: 1, sha256: sha256Of(photo), sizeBytes: photo.length },
				{ spread: 2, sha256: 'b'.repeat(64), sizeBytes: 1 },
			],
		}),
	);

	test('are known by their bytes, whatever they are called; those not given are told', () => {
		const found = words(withPhoto, [{ name: 'any.jpg', sha256: sha256Of(photo) }]);
		expect(found).toContain('Photo any.jpg: the untouched original of spread 1.');
		expect(found).toContain('Not compared, because not given: 1 photo (of spread 2)');
	});

	test('with one byte changed fail and are named', () => {
		const given = [{ name: 'one.jpg', sha256: sha256Of(changed) }];
		expect(isUntouched(checkRecordFile(withPhoto, given).check)).toBe(false);
		expect(words(withPhoto, given)).toContain("Photo one.jpg: not one of this record's photos");
	});
});

test('canonical JSON is that of the standard: members by code unit, numbers as ECMAScript prints them', () => {
	// RFC 8785, 3.2.2 and 3.2.3 (members and literals of its example)
	const example = { numbers: [333333333.3333333, 1e30, 4.5, 2e-3, 1e-27], literals: [null, true, false] };
	expect(canonicalJson(example)).toBe(
		'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27]}',
	);
});

test('the short code is the same for the same data and has no digits that are misread', () => {
	expect(shortCodeOf('0'.repeat(64))).toBe('00000-00000');
	expect(shortCodeOf('f'.repeat(64))).toBe('ZZZZZ-ZZZZZ');
	expect(shortCodeOf(sealed.seal.recordSha256)).toMatch(/^[0-9A-HJKMNP-TV-Z]{5}-[0-9A-HJKMNP-TV-Z]{5}$/);
});
