import { randomUUID } from 'node:crypto';
import { chmodSync, chownSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import path from 'node:path';
import Database from 'better-sqlite3';
import { sql } from 'kysely';
import { beforeAll, expect, onTestFinished, test, vi } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { progressSentence } from '@/lib/report/progressSentences';
import type { AnalysedPhoto, WorkedRun } from '@/lib/store/analysis';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import { databasePath, openStore } from '@/lib/store/database';
import { addDevice, deviceOf, listDevices } from '@/lib/store/devices';
import { analysePhoto, outlinePieces } from '@/lib/store/engine';
import { keptInFull } from '@/lib/store/keptResult';
import { TRY_AGAIN_MS } from '@/lib/store/photoReader';
import { getPhoto } from '@/lib/store/photos';
import { previewOf } from '@/lib/store/pictures';
import { piecePictureOf } from '@/lib/store/piecePictures';
import { POOL_HERE } from '@/lib/store/poolHere';
import { getProduct, listProducts, weighProduct } from '@/lib/store/products';
import { progressOf } from '@/lib/store/progress';
import { saveRecordEntry } from '@/lib/store/recordEntry';
import { pdfOfRecord } from '@/lib/store/recordOutput';
import { getRecord, issueRecord, listRecords } from '@/lib/store/records';
import { figuresOf } from '@/lib/store/runFigures';
import { getSetting, setSetting } from '@/lib/store/settings';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { readProduct } from './readProduct';
import { BY_COLOURS, readAll, sendTray, TRAY } from './sentTray';
import { storedRun, temporaryFolder, temporaryStore } from './temporaryStore';

/** The photo is really read once; what matters here is what becomes of the reading. */
const POOL = { size: 1, analysePhoto: (): Promise<AnalysedPhoto> => Promise.resolve(reading) };
let reading: AnalysedPhoto;
beforeAll(async () => {
	reading = await analysePhoto(TRAY, {
		choice: BY_COLOURS,
		material: BUILT_IN_MATERIALS[0],
		matScale: 1,
	});
});

/** The disk is full for every file written from now on, as the system would say it. */
async function fillDisk(): Promise<() => void> {
	const file = await open('package.json', 'r');
	const handle: { writeFile: unknown } = Object.getPrototypeOf(file);
	await file.close();
	const full = Object.assign(new Error('ENOSPC: no space left on device, write'), { code: 'ENOSPC' });
	const spied = vi.spyOn(handle as { writeFile: () => Promise<void> }, 'writeFile').mockRejectedValue(full);
	onTestFinished(() => spied.mockRestore());
	return () => spied.mockRestore();
}

/** What no sorted spread says. */
const UNSORTED = { piles: [], idle: [], partial: [], points: [] };

test('a photo that the full disk cannot take is refused in a sentence, leaves nothing, and can be sent again', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const makeRoom = await fillDisk();
	await expect(sendTray(store, productId)).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('full'),
		hint: expect.stringContaining('Make room'),
	});
	expect(readdirSync(path.join(store.directory, 'incoming'))).toEqual([]);
	expect(await store.db.selectFrom('photo').selectAll().execute()).toEqual([]);
	makeRoom();
	expect((await getPhoto(store, await sendTray(store, productId))).state.kind).toBe('queued');
});

test('a value that the full disk cannot take is refused in a sentence; the earlier one stays and pages go on', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	await weighProduct(store, productId, { gross: '4.2 kg' });
	const { rows } = await sql<{ page_count: number }>`pragma page_count`.execute(store.db);
	await sql`pragma max_page_count = ${sql.lit(rows[0]!.page_count)}`.execute(store.db);
	await expect(setSetting(store, 'long', 'x'.repeat(500_000))).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('full'),
	});
	expect(await getSetting(store, 'long')).toBeUndefined();
	expect((await getProduct(store, productId)).weighing).toEqual({ gross: '4.2 kg' });
	expect((await getBoard(store, runId)).products).toHaveLength(4);
});

test('a record that the full disk cannot take is refused in a sentence and leaves nothing; those on file are laid out for paper as before', async () => {
	const store = await temporaryStore();
	const { productId } = await readProduct(store);
	const entry = {
		issuer: { name: 'Invented yard' },
		sampling: { words: 'Small scoops' },
		rule: { kind: 'guarded', risk: 0.05 },
	} as const;
	const issue = () => issueRecord(store, POOL_HERE, randomUUID(), productId, entry);
	const first = await issue();
	const { rows } = await sql<{ page_count: number }>`pragma page_count`.execute(store.db);
	await sql`pragma max_page_count = ${sql.lit(rows[0]!.page_count)}`.execute(store.db);
	const full = { code: 'storage', message: expect.stringContaining('full') };
	await expect(issue()).rejects.toMatchObject(full);
	// nor can its pictures be kept
	const makeRoom = await fillDisk();
	await expect(issue()).rejects.toMatchObject(full);
	makeRoom();
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	await saveRecordEntry(store, { ...entry, sampling: { words: 'x'.repeat(500_000) } });
	expect(logged).toHaveBeenCalled();
	expect((await listRecords(store)).map(({ id, supersededById }) => [id, supersededById])).toEqual([
		[first, undefined],
	]);
	expect((await pdfOfRecord(store, POOL_HERE, await getRecord(store, first), 'A4')).byteLength).toBeGreaterThan(10_000);
	expect(readdirSync(path.join(store.directory, 'incoming'))).toEqual([]);
});

test('a disk that fills while a photo is read leaves the photo, says so, and reads it by itself once there is room', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	const makeRoom = await fillDisk();
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	const queue = await startAnalysisQueue(store, POOL);
	vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
	onTestFinished(() => void vi.useRealTimers());
	queue.wake();
	await queue.settled();
	expect(progressSentence(await progressOf(store, runId))).toBe(
		'The disk that Deckside keeps its data on is full. 1 photo is kept and waits until that is put right; reading goes on by itself.',
	);
	expect((await previewOf(store, (await getPhoto(store, id)).sha256)).byteLength).toBeGreaterThan(1000);
	makeRoom();
	vi.advanceTimersByTime(TRY_AGAIN_MS);
	await queue.settled();
	expect((await getPhoto(store, id)).state.kind).toBe('graded');
	expect((await progressOf(store, runId)).haltedBy).toBeUndefined();
});

test('sums are told while another program locks the database, and kept when it lets go', async () => {
	const store = await temporaryStore();
	const board = await getBoard(store, (await storedRun(store)).runId);
	const result = { grades: {}, account: 'made up', sorting: UNSORTED } as unknown as WorkedRun;
	const worksOut = (workOutRun: () => Promise<WorkedRun>) =>
		workOutBoard(store, { workOutRun } as unknown as AnalysisPool, board);
	const other = new Database(databasePath(store.directory));
	onTestFinished(() => void other.close());
	other.exec('begin immediate');
	expect(await worksOut(async () => result)).toBe(result);
	// who asks meanwhile gets the same answer
	expect(await worksOut(async () => Promise.reject(new Error('asked twice')))).toBe(result);
	other.exec('rollback');
	await keptInFull();
	expect(await worksOut(async () => Promise.reject(new Error('not kept')))).toEqual(result);
});

test('a full disk that keeps no figures does not keep them from the page, which hears of them', async () => {
	const store = await temporaryStore();
	const { runId } = await storedRun(store);
	const result = { grades: {}, account: 'x'.repeat(500_000), sorting: UNSORTED } as unknown as WorkedRun;
	const pool = { workOutRun: async () => result } as unknown as AnalysisPool;
	const { rows } = await sql<{ page_count: number }>`pragma page_count`.execute(store.db);
	await sql`pragma max_page_count = ${sql.lit(rows[0]!.page_count)}`.execute(store.db);
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	const { mark } = await progressOf(store, runId);
	expect(await figuresOf(store, pool, await getBoard(store, runId))).toEqual({ kind: 'none' });
	await keptInFull();
	expect(logged).toHaveBeenCalled();
	expect((await progressOf(store, runId)).mark).not.toBe(mark);
	expect(await figuresOf(store, pool, await getBoard(store, runId))).toEqual({ kind: 'present', worked: result });
});

test('a locked database is told in a sentence, and a photo caught by it is read when the lock is gone', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	await sql`pragma busy_timeout = 20`.execute(store.db);
	const other = new Database(databasePath(store.directory));
	onTestFinished(() => void other.close());
	// the lock comes while the photo is being read: its outcome can't be written
	const pool = {
		size: 1,
		analysePhoto: async () => {
			other.exec('begin immediate');
			return reading;
		},
	};
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	const queue = await startAnalysisQueue(store, pool);
	queue.wake();
	await queue.settled();
	await expect(weighProduct(store, productId, { gross: '1 kg' })).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('Another program'),
	});
	expect((await getProduct(store, productId)).weighing).toBeUndefined();
	other.exec('rollback');
	pool.analysePhoto = POOL.analysePhoto;
	queue.wake();
	await queue.settled();
	expect((await getPhoto(store, id)).state.kind).toBe('graded');
});

test('photos that trouble keeps from being read say why, and are read by themselves once it is over', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	await sql`pragma busy_timeout = 20`.execute(store.db);
	const other = new Database(databasePath(store.directory));
	onTestFinished(() => void other.close());
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	const queue = await startAnalysisQueue(store, POOL);
	other.exec('begin immediate');
	vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
	onTestFinished(() => void vi.useRealTimers());
	queue.wake();
	await queue.settled();
	expect(progressSentence(await progressOf(store, runId))).toBe(
		'Another program holds the database. 1 photo is kept and waits until that is put right; reading goes on by itself.',
	);
	other.exec('rollback');
	vi.advanceTimersByTime(TRY_AGAIN_MS);
	await queue.settled();
	expect((await getPhoto(store, id)).state.kind).toBe('graded');
	expect((await progressOf(store, runId)).haltedBy).toBeUndefined();
	expect(store.reading?.haltedBy).toBeUndefined();
});

test('while another program holds the database all that is on record can be read, and what is sent is kept once it lets go', async () => {
	const store = await temporaryStore();
	const { runId, products, productId } = await storedRun(store);
	await weighProduct(store, productId, { gross: '1 kg' });
	const other = new Database(databasePath(store.directory));
	onTestFinished(() => void other.close());
	other.exec('begin immediate');
	const sent = Promise.all([
		weighProduct(store, productId, { gross: '2 kg' }),
		weighProduct(store, products[1]!.id, { gross: '3 kg' }),
	]);
	expect((await getBoard(store, runId)).products[0]?.weighing).toEqual({ gross: '1 kg' });
	other.exec('rollback');
	await sent;
	expect((await getProduct(store, productId)).weighing).toEqual({ gross: '2 kg' });
	expect((await getProduct(store, products[1]!.id)).weighing).toEqual({ gross: '3 kg' });
});

/** Root may write everywhere, so the rule of the folder is tried as another user. */
async function withoutRights<Result>(work: () => Promise<Result>): Promise<Result> {
	if (process.geteuid?.() !== 0) return work();
	process.seteuid?.(65_534);
	try {
		return await work();
	} finally {
		process.seteuid?.(0);
	}
}

function forEveryEntry(folder: string, change: (name: string) => void): void {
	change(folder);
	for (const entry of readdirSync(folder, { recursive: true, encoding: 'utf8' })) change(path.join(folder, entry));
}

test('a data directory that may not be written shows what is in it and refuses changes in a sentence', async () => {
	const folder = await temporaryFolder();
	const first = await openStore(folder);
	const { runId, productId } = await storedRun(first);
	const id = await sendTray(first, productId);
	await readAll(first, POOL);
	await first.close();
	forEveryEntry(folder, (name) => chmodSync(name, statSync(name).isDirectory() ? 0o555 : 0o444));
	onTestFinished(() => forEveryEntry(folder, (name) => chmodSync(name, 0o755)));
	const before = readdirSync(folder, { recursive: true }).sort();
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	await withoutRights(async () => {
		const store = await openStore(folder);
		await startAnalysisQueue(store, POOL);
		const [product] = (await getBoard(store, runId)).products;
		expect(product?.spreads[0]?.photos[0]?.analysis?.surface).toBe('mat');
		expect((await previewOf(store, (await getPhoto(store, id)).sha256)).byteLength).toBeGreaterThan(1000);
		const refused = { code: 'storage', message: expect.stringContaining('may not write') };
		await expect(weighProduct(store, productId, { gross: '1 kg' })).rejects.toMatchObject(refused);
		await expect(sendTray(store, productId)).rejects.toMatchObject(refused);
		await store.close();
	});
	expect(readdirSync(folder, { recursive: true }).sort()).toEqual(before);
});

test('a folder in which nothing can be made is told in a sentence', async () => {
	const folder = await temporaryFolder();
	if (process.geteuid?.() === 0) chownSync(folder, 65_534, 65_534);
	chmodSync(folder, 0o555);
	onTestFinished(() => chmodSync(folder, 0o755));
	await withoutRights(() =>
		expect(openStore(path.join(folder, 'data'))).rejects.toMatchObject({
			code: 'storage',
			message: expect.stringContaining('may not write'),
		}),
	);
});

test('outlines that a full disk cannot keep are shown all the same', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	await readAll(store, POOL);
	const makeRoom = await fillDisk();
	expect((await piecePictureOf(store, { outlinePieces }, id)).byteLength).toBeGreaterThan(100);
	makeRoom();
	expect((await piecePictureOf(store, { outlinePieces }, id)).byteLength).toBeGreaterThan(100);
});

test('a damaged database is told in a sentence and left as it is', async () => {
	const folder = await temporaryFolder();
	const first = await openStore(folder);
	await storedRun(first);
	expect(await listProducts(first, 'none')).toEqual([]);
	await first.close();
	writeFileSync(
		databasePath(folder),
		'this is no database, whatever its name says; it is long enough to be one'.repeat(20),
	);
	const before = readFileSync(databasePath(folder));
	await expect(openStore(folder)).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('damaged'),
	});
	expect(readFileSync(databasePath(folder)).equals(before)).toBe(true);
});

test('a phone that asks while another program holds the database is let in at once, and is seen when it lets go', async () => {
	const store = await temporaryStore();
	const token = await addDevice(store, 'Phone', { now: new Date('2026-01-01T00:00:00Z') });
	const seen = new Date('2026-01-02T00:00:00Z');
	const other = new Database(databasePath(store.directory));
	onTestFinished(() => void other.close());
	other.exec('begin immediate');
	expect(await deviceOf(store, token, seen)).toMatchObject({ isOffice: false });
	expect(await deviceOf(store, token, seen)).toMatchObject({ isOffice: false });
	other.exec('rollback');
	await keptInFull();
	expect(await listDevices(store, seen)).toMatchObject([{ seenAt: seen.toISOString() }]);
});
