import jsQR from 'jsqr';
import { getDocument, OPS } from 'pdfjs-dist/legacy/build/pdf.mjs';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { codeSquares } from '@/lib/report/codeSquares';
import { PLAIN_PRESENTATION, presentationFor, presentBy } from '@/lib/report/presentation';
import { recordCsv, recordText } from '@/lib/report/recordFiles';
import { RECORD_PAPERS, recordPdf } from '@/lib/report/recordPdf';
import type { CleanlinessRecord, RecordPicture } from '@/lib/report/recordSchema';
import { recordSheet } from '@/lib/report/recordSheet';
import { madeSealed } from './madeRecord';

const FINGERPRINT = 'c'.repeat(64);
const picture = (kind: RecordPicture['kind'], spread: number, digit: string): RecordPicture => ({
	kind,
	spread,
	originalSha256: 'a'.repeat(64),
	photoSha256: `${digit}1`.repeat(32),
	outlinedSha256: `${digit}2`.repeat(32),
	widthMm: kind === 'closeUp' ? 36 : 170,
	heightMm: kind === 'closeUp' ? 24 : 100,
	letters: kind === 'closeUp' ? [{ letter: 'Cu', x: 0.5, y: 0.5 }] : [],
});
const sealed = madeSealed({
	pictures: [picture('closeUp', 1, '1'), picture('field', 1, '2'), picture('field', 2, '3')],
});
const jpeg = await sharp({ create: { width: 90, height: 60, channels: 3, background: '#a86' } })
	.jpeg()
	.toBuffer();
const bytes = new Map(
	sealed.record.pictures.flatMap(({ photoSha256, outlinedSha256 }) => [
		[photoSha256, jpeg],
		[outlinedSha256, jpeg],
	]),
);
const sheet = recordSheet(sealed, FINGERPRINT, { isRunChanged: false });
const DATED = new Date(sealed.record.issuedAt);

test('letters that the scale bar would cover are left out, on screen and on paper, and no others; those at the rim are whole', () => {
	const [closeUp] = sealed.record.pictures;
	// the bar is 10 of 36 mm long, in the lower left corner
	const at = (x: number, y: number) => ({ letter: 'Cu', x, y });
	const clear = [at(0.1, 0.7), at(0.5, 0.95), at(0.9, 0.9)];
	const covered = [at(0.05, 0.95), at(0.3, 0.9), at(0.34, 0.97)];
	const letters = [covered[0]!, clear[0]!, covered[1]!, clear[1]!, covered[2]!, clear[2]!];
	const spoilt = madeSealed({ pictures: [{ ...closeUp!, letters }] });
	expect(recordSheet(spoilt, FINGERPRINT, { isRunChanged: false }).pictures[0]!.letters).toEqual(clear);
	const atRim = madeSealed({ pictures: [{ ...closeUp!, letters: [at(0.001, 0.5), at(0.999, 0.999), at(0.5, 0)] }] });
	for (const { x, y } of recordSheet(atRim, FINGERPRINT, { isRunChanged: false }).pictures[0]!.letters) {
		expect(Math.min(x, 1 - x)).toBeGreaterThanOrEqual(0.035 - 1e-12);
		expect(Math.min(y, 1 - y)).toBeGreaterThanOrEqual(0.04);
	}
	// what was sealed stays as it was
	expect(spoilt.record.pictures[0]!.letters).toEqual(letters);
});

/** A PDF as an independent reader sees it: text and pictures by page, sizes in points. */
async function read(pdf: Uint8Array) {
	const document = await getDocument({ data: Uint8Array.from(pdf), useSystemFonts: false, verbosity: 0 }).promise;
	const pages = [];
	for (let number = 1; number <= document.numPages; number++) {
		const page = await document.getPage(number);
		const [, , width = 0, height = 0] = page.view;
		const { items } = await page.getTextContent();
		const text = items.map((item) => ('str' in item ? item.str : '')).join(' ');
		const { fnArray } = await page.getOperatorList();
		pages.push({ width, height, text, images: fnArray.filter((op) => op === OPS.paintImageXObject).length });
	}
	return pages;
}

/** Letters and digits alone: readers differ in where they see blanks. */
const bare = (text: string) => text.replace(/\s+/g, '');

describe.each(RECORD_PAPERS)('a record on %s', async (paper) => {
	const pages = await read(await recordPdf(sheet, bytes, paper, DATED));
	const all = bare(pages.map(({ text }) => text).join(''));

	test('is one page of that size', () => {
		expect(pages).toHaveLength(1);
		const [width, height] = paper === 'A4' ? [210, 297] : [215.9, 279.4];
		// a twentieth of a point
		expect(pages[0]!.width).toBeCloseTo((width! * 72) / 25.4, 1);
		expect(pages[0]!.height).toBeCloseTo((height! * 72) / 25.4, 1);
	});

	test('holds the photo, its outlines and the whole fields', () => {
		expect(pages[0]!.images).toBe(4);
	});

	test('says every word and number that screen and command line say', () => {
		const lines = [
			sheet.lead,
			...sheet.facts.map(({ text }) => text),
			...sheet.composition.flatMap(({ name, share, u }) => [name, share, u]),
			sheet.rule,
			...sheet.standings.flatMap(({ title, lines: limits, notes }) => [
				title,
				...limits.flatMap(({ limit, measured, chance, verdict }) => [limit, measured, chance, verdict]),
				...notes,
			]),
			...[...sheet.method, ...sheet.checks, ...sheet.corrections, ...sheet.warnings, ...sheet.cautions],
			sheet.notLookedFor,
			...sheet.seal.lines,
		];
		for (const line of lines) expect(all).toContain(bare(line));
		const printed = bare(recordText(sheet));
		for (const { share } of sheet.composition) expect(printed).toContain(bare(share));
		expect(all).toContain(bare('page 1 of 1'));
		expect(all).toContain(bare(`End of record ${sheet.number}.`));
	});
});

test('a long limit is not read on into what was measured', async () => {
	const line = { ...sheet.standings[0]!.lines[0]!, limit: 'Foreign (all that is not copper) at most 3 %' };
	const long = { ...sheet, standings: [{ ...sheet.standings[0]!, lines: [{ ...line, measured: '1.8 %' }] }] };
	const pdf = await recordPdf(long, bytes, 'A4', DATED);
	const document = await getDocument({ data: Uint8Array.from(pdf), useSystemFonts: false, verbosity: 0 }).promise;
	const { items } = await (await document.getPage(1)).getTextContent();
	const placed = items.flatMap((item) =>
		'str' in item ? [{ ...item, x: item.transform[4], y: item.transform[5] }] : [],
	);
	const measured = placed.find(({ str }) => str.startsWith('1.8'))!;
	const before = placed.filter(({ str, x, y }) => str.trim() !== '' && x < measured.x && Math.abs(y - measured.y) < 8);
	expect(before.map(({ str }) => str).join(' ')).toContain('Foreign');
	// a letter's width
	for (const { x, width } of before) expect(x + width).toBeLessThan(measured.x - 4);
});

test('a record of much text takes two pages, with its number on both', async () => {
	const warnings = Array.from(
		{ length: 14 },
		(_, i) => `Spread ${i + 1}: ${'a long warning that must be read '.repeat(3)}`,
	);
	const long = recordSheet(madeSealed({ warnings, pictures: sealed.record.pictures }), FINGERPRINT, {
		isRunChanged: true,
	});
	const pages = await read(await recordPdf(long, bytes, 'Letter', DATED));
	expect(pages).toHaveLength(2);
	for (const { text } of pages) expect(text).toContain(long.number);
	expect(bare(pages[0]!.text)).toContain(bare('The run, or the way its photos are read, has changed since'));
});

test('no title stands at the foot of a page without its first lines, and no line is lost where a block goes over', async () => {
	// each takes two lines
	const checks = Array.from(
		{ length: 20 },
		(_, k) => `Hand sort of spread ${k + 1}: ${'Insulation 3.21 g; '.repeat(7)}.`,
	);
	const [standing] = sealed.record.standings;
	const standings = [standing!, { ...standing!, id: 'contract', name: 'Contract 12', conditions: [] }];
	const long = `A yard of many words ${'and then some '.repeat(7)}`.trim();
	const names = {
		issuer: { name: long, responsible: long },
		product: { name: long, role: 'middlings' as const },
		lot: { name: `${long} ${long}`.slice(0, 190) },
		run: { name: long, date: '2026-05-11' },
		demo: true,
	};
	// how long the sampling is told moves the block down line by line
	for (const lines of [1, 2, 3, 4, 5]) {
		const sampling = { words: 'a scoop '.repeat(7 * lines).trim() };
		const record = madeSealed({ ...names, sampling, checks, standings, pictures: sealed.record.pictures });
		const sheetOfMany = recordSheet(record, FINGERPRINT, { isRunChanged: false, supersededBy: '20260601-ABCDE' });
		const pages = await read(await recordPdf(sheetOfMany, bytes, 'A4', DATED));
		const titled = pages.find(({ text }) => text.includes('Checks by hand'))!;
		expect(titled.text).toContain('Hand sort of spread 1:');
		const all = bare(pages.map(({ text }) => text).join(' '));
		for (const check of checks) expect(all).toContain(bare(check));
	}
});

test('the seal never stands on a page by itself', async () => {
	const told: (number | undefined)[] = [];
	// line by line the text grows over the first page's foot
	for (let lines = 0; lines < 16; lines++) {
		const warnings = Array.from({ length: lines }, (_, i) => `Warning ${i + 1}.`);
		const record = madeSealed({ warnings, pictures: sealed.record.pictures });
		const pages = await read(
			await recordPdf(recordSheet(record, FINGERPRINT, { isRunChanged: false }), bytes, 'A4', DATED),
		);
		told.push(pages.length);
		expect(pages.at(-1)!.text, `${lines} warnings`).toMatch(/Cautions.*Seal/);
	}
	expect(new Set(told)).toEqual(new Set([1, 2]));
});

test('what can\u2019t be told is drawn as it is written, from nothing to all', () => {
	const untold = { value: 0.4, low: 0, high: 0.96, belowDetectionLimit: true };
	const { composition } = madeSealed().record;
	const [copper] = recordSheet(madeSealed({ composition: { ...composition, copper: untold } }), FINGERPRINT, {
		isRunChanged: false,
	}).composition;
	expect(copper!.share).toContain('(0 to 100');
	expect(copper!.estimate).toMatchObject({ low: 0, high: 1 });
});

test('long names stand in full, and a letter that the font lacks is a square, never another letter', async () => {
	const name = `Ü${'W'.repeat(79)}`;
	const record = madeSealed({ lot: { name }, run: { name: 'Run 中 🐟 שלום', date: '2026-05-12' }, pictures: [] });
	const odd = recordSheet(record, FINGERPRINT, { isRunChanged: false });
	const [page] = await read(await recordPdf(odd, bytes, 'A4', DATED));
	const text = bare(page!.text);
	expect(text.replaceAll('-', '')).toContain(name);
	expect(text).toContain('Run□□');
	expect(text).toContain('שלום');
});

test('the same record is the same file', async () => {
	const [one, two] = [await recordPdf(sheet, bytes, 'A4', DATED), await recordPdf(sheet, bytes, 'A4', DATED)];
	expect(Buffer.from(one).equals(Buffer.from(two))).toBe(true);
});

test('a record reads the same on every device', () => {
	presentBy(() => presentationFor('us', 'de-DE'));
	try {
		expect(recordSheet(sealed, FINGERPRINT, { isRunChanged: false })).toEqual(sheet);
	} finally {
		presentBy(() => PLAIN_PRESENTATION);
	}
});

test('the code on it can be scanned and names number, checksum and key', async () => {
	const { side, path } = codeSquares(sheet.seal.qrText);
	const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${side * 6}" height="${side * 6}" viewBox="0 0 ${side} ${side}"><rect width="${side}" height="${side}" fill="#fff"/><path d="${path}"/></svg>`;
	const { data, info } = await sharp(Buffer.from(svg)).ensureAlpha().raw().toBuffer({ resolveWithObject: true });
	const read = jsQR(new Uint8ClampedArray(data), info.width, info.height);
	expect(read?.data).toBe(sheet.seal.qrText);
	expect(read?.data).toContain(sealed.seal.recordSha256);
});

test('a trade code is never said to be met, and what is not decided says what would settle it', () => {
	const [cobra] = sheet.standings;
	expect(cobra?.notes.join(' ')).toMatch(/whether the lot is Cobra is not said here\. Buyer's analysis governs\./);
	expect(cobra?.notes.join(' ')).toContain(
		'Copper at least 97\u00a0%: about 6 more spreads like these would settle it',
	);
	expect(cobra?.lines[0]?.verdict).toBe('Not decided');
});

test('the table for a buyer holds unrounded figures beside the words', () => {
	const csv = recordCsv(sealed, sheet);
	expect(csv).toContain('composition,Copper,0.96321,0.94377,0.97911,fraction,');
	expect(csv).toContain('record,dry mass,4.1202,4.1101,4.1303,kg,');
	expect(csv.split('\r\n').every((line) => line === '' || line.split(',').length >= 7)).toBe(true);
});

test('the kind of a product stands beside a name that does not say it', () => {
	const productOf = (product: CleanlinessRecord['product']) =>
		recordSheet(madeSealed({ product }), FINGERPRINT, { isRunChanged: false }).facts.find(
			({ name }) => name === 'Product',
		)?.text;
	expect(productOf({ name: 'Concentrate 1', role: 'concentrate' })).toBe('Concentrate 1');
	expect(productOf({ name: 'Red bin', role: 'tailings' })).toBe('Red bin (tailings)');
});
