import { randomUUID } from 'node:crypto';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { BY_ONE_SPREAD } from '@/lib/report/checkSentences';
import { recordJson } from '@/lib/report/recordFiles';
import { methodLines, settlementSentence } from '@/lib/report/recordSentences';
import { isUntouched } from '@/lib/report/verifySentences';
import type { RecordPrint } from '@/lib/store/analysis';
import { addCheck } from '@/lib/store/checks';
import { openStore, type Store } from '@/lib/store/database';
import { makeRecord, type RecordEntry } from '@/lib/store/makeRecord';
import { POOL_HERE } from '@/lib/store/poolHere';
import { weighProduct } from '@/lib/store/products';
import { addRecordLink, listRecordLinks, revokeRecordLink, sharedRecord } from '@/lib/store/recordLinks';
import { pdfOfRecord } from '@/lib/store/recordOutput';
import { pictureName, readRecordPicture } from '@/lib/store/recordPictures';
import { getRecord, issueRecord, listRecords, withdrawRecord } from '@/lib/store/records';
import { warningsOf } from '@/lib/store/recordWarnings';
import { removeRun } from '@/lib/store/runs';
import { checkRecordFile } from '@/lib/store/sealRecord';
import { storageError } from '@/lib/store/storageFault';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { readProduct, telltalePhoto } from './readProduct';
import { storedRun, temporaryStore } from './temporaryStore';

const ENTRY: RecordEntry = {
	issuer: { name: 'Invented yard' },
	sampling: { words: 'Small scoops from the mixed bin', scoops: 5 },
	rule: { kind: 'guarded', risk: 0.05 },
	classId: 'cobra',
	contract: { name: 'Contract 12', year: '2026', copperAtLeast: 0.5 },
};

// one product is read for all tests of this file: a photo takes seconds
let store: Store;
let product: Awaited<ReturnType<typeof readProduct>>;
const first = randomUUID();
beforeAll(async () => {
	const { mkdtempSync } = await import('node:fs');
	const { tmpdir } = await import('node:os');
	store = await openStore(mkdtempSync(`${tmpdir()}/deckside-records-`));
	product = await readProduct(store);
	await issueRecord(store, POOL_HERE, first, product.productId, ENTRY);
});

afterAll(() => store.close());

const fileOf = async (id: string) => recordJson((await getRecord(store, id)).sealed);

test('a record holds the figures that the screen shows, and stands', async () => {
	const { sealed, state } = await getRecord(store, first);
	const board = await getBoard(store, product.runId);
	const worked = await workOutBoard(store, POOL_HERE, board);
	expect(sealed.record.warnings).toContain(BY_ONE_SPREAD);
	const { spreads, ...own } = board.products[0]!;
	expect(warningsOf(board, { ...own, spreads: [...spreads, ...spreads] }, worked)).not.toContain(BY_ONE_SPREAD);
	expect(sealed.record.composition).toEqual(worked.grades['Concentrate 1']!.massFraction);
	expect(methodLines(sealed.record)).toContainEqual(expect.stringContaining('in the balance of the run'));
	expect(sealed.record.dryMassKg?.value).toBeCloseTo(4.29, 9);
	expect(sealed.record.corrections.readingByHand).toBe(1);
	expect(sealed.record.standings.map(({ id }) => id)).toEqual(['cobra', 'contract']);
	expect(state).toEqual({ isRunChanged: false });
});

test('the saved file and the original photo verify; the same request sent twice makes one record', async () => {
	await issueRecord(store, POOL_HERE, first, product.productId, ENTRY);
	const { number, issuedAt, demo, product: named, lot, run } = (await getRecord(store, first)).sealed.record;
	expect(await listRecords(store, product.productId)).toMatchObject([
		{ id: first, record: { number, issuedAt, demo, product: named, lot, run } },
	]);
	const { check } = checkRecordFile(await fileOf(first), [{ name: 'spread.jpg', sha256: product.sha256 }]);
	expect(isUntouched(check)).toBe(true);
});

test('place and device are in the original and in no picture or file of the record', async () => {
	const before = await sharp(await telltalePhoto()).metadata();
	expect(before.exif?.toString('latin1')).toContain('InventedPhone');
	const { pictures } = (await getRecord(store, first)).sealed.record;
	expect(pictures.map(({ kind }) => kind)).toEqual(['closeUp', 'field']);
	for (const { photoSha256, outlinedSha256, widthMm, heightMm } of pictures) {
		for (const sha256 of [photoSha256, outlinedSha256]) {
			const bytes = Buffer.from(await readRecordPicture(store, sha256));
			const { exif, xmp, iptc, width, height } = await sharp(bytes).metadata();
			expect([exif, xmp, iptc]).toEqual([undefined, undefined, undefined]);
			expect(bytes.includes('InventedPhone')).toBe(false);
			// from straight above: one scale both ways, to a pixel
			expect(Math.abs(width / widthMm - height / heightMm)).toBeLessThan(1 / Math.min(widthMm, heightMm));
		}
	}
	expect(await fileOf(first)).not.toMatch(/spread\.jpg|InventedPhone/);
});

test('a record is laid out once for paper, in plain data as a thread takes it, and anew where it is told something else or it failed', async () => {
	const kept = await getRecord(store, first);
	const asked: RecordPrint[] = [];
	const printRecord = async (print: RecordPrint) => {
		asked.push(structuredClone(print));
		if (asked.length === 1) throw new Error('stumbled');
		return new Uint8Array([asked.length]);
	};
	await expect(pdfOfRecord(store, { printRecord }, kept, 'Letter')).rejects.toThrow('stumbled');
	for (let time = 0; time < 2; time++)
		expect(await pdfOfRecord(store, { printRecord }, kept, 'Letter')).toEqual(new Uint8Array([2]));
	expect(asked[1]!.pictures.size).toBe(4);
	const changed = { ...kept, state: { ...kept.state, isRunChanged: true } };
	expect(await pdfOfRecord(store, { printRecord }, changed, 'Letter')).toEqual(new Uint8Array([3]));
});

test('a record whose pictures cannot be had at the moment is not laid out without them; one that is gone is left out', async () => {
	const kept = await getRecord(store, first);
	const pictured: number[] = [];
	const printRecord = async ({ pictures }: RecordPrint) => new Uint8Array([pictured.push(pictures.size)]);
	const reading = (read: Store['files']['read']) => ({ ...store, files: { ...store.files, read } });
	const away = reading(() => Promise.reject(storageError('away')));
	await expect(pdfOfRecord(away, { printRecord }, kept, 'A4')).rejects.toMatchObject({ code: 'storage' });
	const gone = pictureName(kept.sealed.record.pictures[0]!.photoSha256);
	const without = reading(async (name) => (name === gone ? undefined : store.files.read(name)));
	await pdfOfRecord(without, { printRecord }, kept, 'A4');
	expect(pictured).toEqual([3]);
});

test('nothing is claimed of limits where pieces of the product stand in two places', async () => {
	const board = await getBoard(store, product.runId);
	const [own] = board.products;
	const twice = { code: 'same-picture', message: 'The very same picture stands in Middlings, spread 1 too.' } as const;
	const photos = own!.spreads[0]!.photos.map((photo) => ({
		...photo,
		analysis: { ...photo.analysis!, warnings: [twice] },
	}));
	const doubled = { ...own!, spreads: [{ ...own!.spreads[0]!, photos }] };
	const { standings } = await makeRecord(store, POOL_HERE, board, doubled, ENTRY, new Date().toISOString());
	for (const { limits } of standings) {
		for (const limit of limits) {
			expect(limit).toMatchObject({ verdict: 'notDecided' });
			expect(limit).not.toHaveProperty('probability');
			expect(settlementSentence(limit)).toContain('stand in two places');
		}
	}
	expect(standings[1]!.together).toEqual({ verdict: 'notDecided' });
	expect((await getRecord(store, first)).sealed.record.standings[1]!.together!.verdict).not.toBe('notDecided');
});

test('a picture that was altered on disk is not shown', async () => {
	const { photoSha256 } = (await getRecord(store, first)).sealed.record.pictures[1]!;
	const { writeFile, readFile } = await import('node:fs/promises');
	const file = `${store.directory}/records/${photoSha256.slice(0, 2)}/${photoSha256.slice(2)}.jpg`;
	const whole = await readFile(file);
	await writeFile(file, whole.subarray(0, -1));
	await expect(readRecordPicture(store, photoSha256)).rejects.toThrow('no such picture');
	await writeFile(file, whole);
});

test('a link leads to its record until it is revoked or has run out; all others answer alike', async () => {
	const id = randomUUID();
	const token = (await addRecordLink(store, id, first, 7))!;
	expect(token).toMatch(/^[\w-]{32}$/);
	expect(await addRecordLink(store, id, first, 7)).toBeUndefined();
	expect((await sharedRecord(store, token)).id).toBe(first);
	const kept = await store.db.selectFrom('record_link').selectAll().execute();
	expect(JSON.stringify(kept)).not.toContain(token);
	const answers: unknown[] = [];
	const refused = async (given: string, now?: string) =>
		answers.push(
			await sharedRecord(store, given, now).then(
				() => 'shown',
				(error: unknown) => (error instanceof TrayError ? [error.code, error.message, error.hint] : error),
			),
		);
	await refused(`${token.slice(0, -1)}${token.endsWith('A') ? 'B' : 'A'}`);
	await refused('../../etc');
	await refused(token, new Date(Date.now() + 8 * 86_400_000).toISOString());
	expect(await revokeRecordLink(store, id)).toBe(first);
	await refused(token);
	expect(new Set(answers.map((answer) => JSON.stringify(answer))).size).toBe(1);
	expect(answers[0]).toEqual(['not-found', 'This link does not lead to a record.', expect.any(String)]);
	expect((await listRecordLinks(store, first))[0]?.revokedAt).toBeDefined();
});

test('a changed run is told on the record, and a new record supersedes it while the old one still verifies', async () => {
	await weighProduct(store, product.productId, { gross: '5.27', tare: '0.78', unit: 'kg' });
	expect((await getRecord(store, first)).state).toEqual({ isRunChanged: true });
	// a laboratory far from the photos: the figure on record is both together, so whoever reads it must be warned
	const assay = { kind: 'assay', share: '10 %', u: '0.5 %' } as const;
	await addCheck(store, { id: randomUUID(), productId: product.productId, entry: assay });
	const second = randomUUID();
	await issueRecord(store, POOL_HERE, second, product.productId, { ...ENTRY, classId: undefined });
	const { agreement, warnings } = (await getRecord(store, second)).sealed.record;
	expect(agreement).toMatch(/^By photos alone: copper .+\. The estimates disagree: /);
	expect(warnings).toContainEqual(expect.stringMatching(/^With its checks: copper .+\. The estimates disagree: /));
	const [old, now] = [await getRecord(store, first), await getRecord(store, second)];
	expect(old.state.supersededBy).toBe(now.sealed.record.number);
	expect(old.supersededById).toBe(second);
	expect(now.state).toEqual({ isRunChanged: false });
	expect(old.sealed.record.dryMassKg?.value).toBeCloseTo(4.29, 9);
	expect(isUntouched(checkRecordFile(await fileOf(first), []).check)).toBe(true);
	// the form of the second gone back to: as it was it opens that record, with another rule it makes one more
	const asBefore = { ...ENTRY, classId: undefined };
	expect(await issueRecord(store, POOL_HERE, second, product.productId, asBefore)).toBe(second);
	const third = await issueRecord(store, POOL_HERE, second, product.productId, {
		...asBefore,
		rule: { kind: 'simple' },
	});
	expect(third).not.toBe(second);
	expect((await getRecord(store, third)).sealed.record.rule).toEqual({ kind: 'simple' });
	expect((await getRecord(store, second)).sealed).toEqual(now.sealed);
	await withdrawRecord(store, second, 'A wrong lot');
	await removeRun(store, product.runId);
	expect((await getRecord(store, second)).state).toMatchObject({
		withdrawn: { reason: 'A wrong lot' },
		isRunChanged: true,
	});
	expect(isUntouched(checkRecordFile(await fileOf(second), []).check)).toBe(true);
});

test('a product without a graded photo gets no record, and nothing is kept', async () => {
	const empty = await temporaryStore();
	const { productId } = await storedRun(empty);
	await expect(issueRecord(empty, POOL_HERE, randomUUID(), productId, ENTRY)).rejects.toThrow('no graded photo');
	expect(await listRecords(empty)).toEqual([]);
});
