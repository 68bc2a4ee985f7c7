import { createHash, randomUUID } from 'node:crypto';
import { readdirSync } from 'node:fs';
import path from 'node:path';
import { NextRequest } from 'next/server';
import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import { getAnalyses } from '@/lib/store/analyses';
import { asYard } from '@/lib/store/askingYard';
import { addDevice, forgetDevice, listDevices } from '@/lib/store/devices';
import { addLot, changeLot } from '@/lib/store/lots';
import { getPhoto } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { savePrices } from '@/lib/store/prices';
import { addRecordLink, revokeRecordLink, sharedRecord } from '@/lib/store/recordLinks';
import { getRecord, issueRecord } from '@/lib/store/records';
import { addRun, changeRun } from '@/lib/store/runs';
import { behindLink, storeOfCode, theStore } from '@/lib/store/theStore';
import { addYard, forgottenAmong, listYards, renewYardCodes, sessionOf } from '@/lib/store/yards';
import { readProduct } from '../store/readProduct';
import { freshDatabase, LOT, RUN } from '../store/temporaryStore';

type Handler = (request: NextRequest, context: { params: Promise<Record<string, string>> }) => Promise<Response>;
type RouteModule = Partial<Record<'GET' | 'PUT' | 'POST', Handler>>;

const holder = globalThis as typeof globalThis & { decksideYards?: Promise<unknown> };

/** Stands in everything that people name in the yard that is to be kept from the other. */
const MARK = 'Heron';

let yards: YardDatabase;
let its: Awaited<ReturnType<typeof filledYard>>;

async function filledYard(name: string) {
	const store = yards.storeOf(name);
	const read = await readProduct(store);
	const { lotId } = await store.db.selectFrom('run').select('lot_id as lotId').executeTakeFirstOrThrow();
	await changeLot(store, lotId, { ...LOT, name: `${MARK} lot` });
	await changeRun(store, read.runId, { ...RUN, name: `${MARK} run` });
	const secondRun = randomUUID();
	await addRun(store, secondRun, lotId, { ...RUN, name: `${MARK} second` });
	await savePrices(store, randomUUID(), { deckside: 'prices/1', metals: {} });
	const { spreadId } = await getPhoto(store, read.photoId);
	const recordId = randomUUID();
	await issueRecord(store, POOL_HERE, recordId, read.productId, {
		issuer: { name: `${MARK} yard, invented` },
		sampling: { words: 'Small scoops', scoops: 5 },
		rule: { kind: 'guarded', risk: 0.05 },
		classId: 'cobra',
	});
	const [linkId, token] = [randomUUID(), await addRecordLink(store, randomUUID(), recordId, 7)];
	const picture = (await getRecord(store, recordId)).sealed.record.pictures[0]?.photoSha256 ?? '';
	return { ...read, lotId, secondRun, spreadId, recordId, linkId, token: token ?? '', picture };
}

beforeAll(async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	vi.stubEnv('DATABASE_URL', url);
	vi.stubEnv('DECKSIDE_YARD', '*');
	yards = await openPostgres(url);
	holder.decksideYards = Promise.resolve({ yards, pool: POOL_HERE });
	its = await filledYard('a');
	// the other yard is no empty one
	await addLot(yards.storeOf('b'), randomUUID(), { ...LOT, name: 'Plover lot' });
});

afterAll(async () => {
	delete holder.decksideYards;
	await yards.close();
	vi.unstubAllEnvs();
});

const ROUTES = readdirSync('app', { recursive: true, encoding: 'utf8' }).filter((file) => /[\\/]route\.ts$/.test(file));

/** Everything that an address can name, as the yard that owns it would. */
function addressOf(file: string): { readonly params: Record<string, string>; readonly query: string } {
	const shown = file.startsWith('records') || file.startsWith('shared') ? `${its.picture}.jpg` : '';
	const params = {
		lotId: its.lotId,
		runId: its.runId,
		productId: its.productId,
		spreadId: its.spreadId,
		photoId: its.photoId,
		recordId: its.recordId,
		token: its.token,
		file: shown,
		size: 'A4',
	};
	return { params, query: `?run=${its.runId}&run=${its.secondRun}&product=${its.productId}&class=copper` };
}

async function answerTo(yard: string | undefined, file: string): Promise<{ status: number; text: string }> {
	const { GET } = (await import(/* @vite-ignore */ path.resolve('app', file))) as RouteModule;
	if (GET === undefined) return { status: 405, text: '' };
	const leaving = new AbortController();
	const { params, query } = addressOf(file);
	const request = new NextRequest(`http://127.0.0.1:3000/${query}`, { signal: leaving.signal });
	const answer = await asYard(yard, () => GET(request, { params: Promise.resolve(params) }));
	if (answer.headers.get('content-type')?.includes('event-stream') !== true) {
		return { status: answer.status, text: await answer.text() };
	}
	// the second piece is the first word of the state
	const pieces = answer.body!.getReader();
	await pieces.read();
	const { value } = await pieces.read();
	leaving.abort();
	return { status: answer.status, text: new TextDecoder().decode(value) };
}

test.each(ROUTES)('%s shows a yard its own by address, and another yard and a stranger nothing of it', async (file) => {
	const own = await answerTo('a', file);
	const [thief, stranger] = [await answerTo('b', file), await answerTo(undefined, file)];
	// a link to a record leads whoever holds it to that record, and is tried below
	if (file.startsWith('shared')) return expect([own.status, thief.status, stranger.status]).toEqual([200, 200, 200]);
	const names = /\[(?!size)\w+Id\]/.test(file);
	if (names && own.status !== 405 && !/rerun/.test(file)) expect(own.status, 'to its own yard').toBe(200);
	for (const { status, text } of [thief, stranger]) {
		if (names) expect(status).not.toBe(200);
		expect(text).not.toContain(MARK);
		for (const id of [its.lotId, its.runId, its.productId, its.photoId, its.sha256]) expect(text).not.toContain(id);
	}
});

test('the addresses above do lead to what must be kept apart', async () => {
	const texts = await Promise.all(
		['runs/[runId]/run.json/route.ts', 'compare/compare.csv/route.ts', 'lots/[lotId]/history.csv/route.ts'].map(
			async (file) => (await answerTo('a', file)).text,
		),
	);
	for (const text of texts) expect(text).toContain(MARK);
});

test('a photo sent to another yard’s bin is refused, and nothing of it stays', async () => {
	const { PUT } = (await import('@/app/api/photos/[photoId]/route')) as unknown as RouteModule;
	const send = (yard: string, id: string) => {
		const query = `?product=${its.productId}&spread=${its.spreadId}&name=forged.jpg`;
		const request = new NextRequest(`http://127.0.0.1:3000/${query}`, { method: 'PUT', body: Buffer.from(its.bytes) });
		return asYard(yard, () => PUT!(request, { params: Promise.resolve({ photoId: id }) }));
	};
	const before = await yards.everyYard.selectFrom('photo').selectAll().execute();
	expect((await send('b', randomUUID())).status).toBe(404);
	expect((await send('b', its.photoId)).status).toBe(404);
	expect(await yards.everyYard.selectFrom('photo').selectAll().execute()).toEqual(before);
	// the same bytes, sent by the yard itself, are taken
	expect((await send('a', its.photoId)).status).toBe(201);
});

test('knowing the hash of a photo, a reading or a picture of a record brings nothing of another yard', async () => {
	const thief = await asYard('b', theStore);
	const { state } = await getPhoto(yards.storeOf('a'), its.photoId);
	expect(state.kind).toBe('graded');
	const key = createHash('sha256').update(its.sha256).digest('hex');
	expect(await getAnalyses(thief.store, [key, its.sha256])).toEqual(new Map());
	for (const name of [`photos/${its.sha256.slice(0, 2)}/${its.sha256.slice(2)}`, `records/${its.picture}`]) {
		expect(await thief.store.files.read(name)).toBeUndefined();
	}
});

test('a link to a record leads to its yard whoever opens it, shows that record, and ends when it is revoked', async () => {
	expect((await sharedRecord((await behindLink(its.token)).store, its.token)).id).toBe(its.recordId);
	// the link is worth nothing in the yard that opens it
	await expect(sharedRecord(yards.storeOf('b'), its.token)).rejects.toMatchObject({ code: 'not-found' });
	await expect(behindLink('A'.repeat(32))).rejects.toMatchObject({ code: 'not-found' });
	const [id, store] = [randomUUID(), yards.storeOf('a')];
	const token = (await addRecordLink(store, id, its.recordId, 7)) ?? '';
	await revokeRecordLink(yards.storeOf('b'), id).catch(() => undefined);
	expect((await sharedRecord((await behindLink(token)).store, token)).id).toBe(its.recordId);
	await revokeRecordLink(store, id);
	await expect(sharedRecord((await behindLink(token)).store, token)).rejects.toMatchObject({ code: 'not-found' });
});

test('nobody’s data stands in where it is not known who asks', async () => {
	await expect(theStore()).rejects.toMatchObject({ code: 'not-allowed' });
	await expect(asYard(undefined, theStore)).rejects.toMatchObject({ code: 'not-allowed' });
});

test('requests of two yards under way at once each stay with their own', async () => {
	const seen = await Promise.all(
		Array.from({ length: 40 }, (_, at) => {
			const yard = at % 2 === 0 ? 'a' : 'b';
			return asYard(yard, async () => {
				const { store } = await theStore();
				await store.db.selectFrom('run').select('id').execute();
				const again = await theStore();
				return [yard, (await again.store.db.selectFrom('lot').select('name').execute()).map(({ name }) => name)];
			});
		}),
	);
	for (const [yard, lots] of seen) expect(lots).toEqual([yard === 'a' ? `${MARK} lot` : 'Plover lot']);
});

test('the code of a yard lets a device into that yard alone, until a new one is made or the device is forgotten', async () => {
	const north = await addYard(yards, 'north');
	const south = await addYard(yards, 'south');
	await expect(addYard(yards, 'north')).rejects.toMatchObject({ code: 'usage' });
	await expect(addYard(yards, 'No Yard!')).rejects.toMatchObject({ code: 'usage' });
	expect(new Set([north.phones, north.office, south.phones, south.office]).size).toBe(4);
	expect(north.phones).toMatch(/^([A-HJ-KM-NP-Z2-9]{4}-){3}[A-HJ-KM-NP-Z2-9]{4}$/);
	const joined = await storeOfCode(north.phones.toLowerCase().replaceAll('-', ' '));
	expect(joined).toMatchObject({ isOffice: false });
	expect((await storeOfCode(south.office))?.isOffice).toBe(true);
	for (const wrong of ['', north.phones.slice(0, -1), 'AAAA-AAAA-AAAA-AAAA']) {
		expect(await storeOfCode(wrong), wrong).toBeUndefined();
	}
	const token = await addDevice(joined!.store, 'Phone');
	const session = await sessionOf(yards, token);
	expect(session).toEqual({ deviceId: expect.any(String), yardId: 'north', isOffice: false });
	expect(await sessionOf(yards, 'A'.repeat(43))).toBeUndefined();
	const renewed = await renewYardCodes(yards, 'north');
	expect(await storeOfCode(north.phones)).toBeUndefined();
	expect(await storeOfCode(renewed.phones)).toBeDefined();
	expect(await sessionOf(yards, token)).toEqual(session);
	const id = session?.deviceId ?? '';
	await forgetDevice(yards.storeOf('south'), id);
	expect(await forgottenAmong(yards, [id])).toEqual([]);
	await forgetDevice(yards.storeOf('north'), id);
	expect(await forgottenAmong(yards, [id])).toEqual([id]);
	expect(await sessionOf(yards, token)).toBeUndefined();
	expect(await listDevices(yards.storeOf('north'))).toEqual([]);
	expect((await listYards(yards)).map(({ name, hasCode }) => [name, hasCode])).toEqual([
		['north', true],
		['south', true],
	]);
});

test('codes are kept as hashes only', async () => {
	const codes = await addYard(yards, 'west');
	const rows = JSON.stringify(await yards.everyYard.selectFrom('yard').selectAll().execute());
	for (const code of Object.values(codes)) expect(rows).not.toContain(code.replaceAll('-', ''));
	for (const code of Object.values(codes)) expect(rows).not.toContain(code);
});
