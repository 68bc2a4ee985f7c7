import { randomUUID } from 'node:crypto';
import { readdirSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import { NextRequest } from 'next/server';
import { beforeEach, expect, test, vi } from 'vitest';
import { accessCode } from '@/lib/store/accessCode';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import type { Store } from '@/lib/store/database';
import { POOL_HERE } from '@/lib/store/poolHere';
import type { Running } from '@/lib/store/theStore';
import { plainPng } from '../photo/madePhotos';
import { storedRun, temporaryStore } from '../store/temporaryStore';

/** Every route of the app, by its file. */
const ROUTES = readdirSync('app', { recursive: true, encoding: 'utf8' }).filter((file) =>
	/(^|[\\/])route\.ts$/.test(file),
);

type Handler = (request: NextRequest, context: { params: Promise<Record<string, string>> }) => Promise<Response>;
type RouteModule = Readonly<Record<string, Handler>>;

const holder = globalThis as typeof globalThis & { decksideRunning?: Promise<Running> };
let store: Store;
let known: readonly string[];

beforeEach(async () => {
	store = await temporaryStore();
	const { lotId, runId, productId } = await storedRun(store);
	known = [lotId, runId, productId, randomUUID()];
	// photos are taken in here and read by nobody
	const queue = { ...(await startAnalysisQueue(store, POOL_HERE)), wake: () => {} };
	holder.decksideRunning = Promise.resolve({ store, pool: POOL_HERE, queue });
	vi.stubEnv('DECKSIDE_LAN', 'http://192.168.1.20:3000');
});

/** An id that leads somewhere, one that does not, or no id at all. */
const word = fc.oneof(
	fc.nat(3).map((at) => known[at] ?? ''),
	fc.string(),
	fc.constantFrom('../../etc/passwd', '%00', 'A4', 'insulation', 'own', '1e999', '-1', 'a'.repeat(3000), '\u{1f9ea}'),
);
const NAMES = [
	'run',
	'product',
	'spread',
	'name',
	'class',
	'small',
	'whole',
	'instead',
	'quick',
	'split',
	'setting',
	'seed',
	'half',
];
const query = fc.array(fc.tuple(fc.oneof(fc.constantFrom(...NAMES), fc.string()), word), { maxLength: 5 });

function asked(method: string, asking: readonly (readonly [string, string])[], init: object = {}): NextRequest {
	const address = new URL('http://127.0.0.1:3000/');
	for (const [name, value] of asking) address.searchParams.append(name, value);
	return new NextRequest(address, { method, ...init });
}

/** Answers with what was asked for, or with words; the program never stumbles. */
async function expectAnswer(answer: Response, what: string): Promise<void> {
	expect([200, 201, 204, 400, 403, 404, 413, 422, 429, 503], what).toContain(answer.status);
	expect(answer.headers.get('content-type') ?? '', what).not.toMatch(/html|svg|javascript|xml/);
	if (answer.status >= 400) {
		expect(await answer.json(), what).toEqual({ message: expect.stringMatching(/^[A-Z]/), hint: expect.any(String) });
	} else await answer.body?.cancel();
}

const TYPES = ['multipart/form-data', 'multipart/form-data; boundary=x', 'text/plain', 'application/json'];
const said = fc.record(
	{
		'content-type': fc.constantFrom(...TYPES),
		'x-sha256': fc.oneof(fc.string(), fc.constant('ab'.repeat(32))),
		'x-deckside-address': fc.ipV4(),
	},
	{ requiredKeys: [] },
);
const sent = fc.oneof(
	fc.json().map((code) => JSON.stringify({ code })),
	fc.constant('x'.repeat(5000)),
	fc.string(),
	fc.json(),
	fc.uint8Array(),
	fc.array(fc.tuple(fc.constantFrom('files', 'passphrase', 'name'), word)).map((fields) => new URLSearchParams(fields)),
);

test.each(ROUTES)('%s answers whatever it is asked and sent, and changes nothing for another site', async (file) => {
	const handlers = Object.entries((await import(/* @vite-ignore */ path.resolve('app', file))) as RouteModule);
	expect(handlers.length).toBeGreaterThan(0);
	const names = [...file.matchAll(/\[(\w+)\]/g)].map((match) => match[1] ?? '');
	const params = fc
		.tuple(...names.map(() => word))
		.map((values) => Object.fromEntries(names.map((name, at) => [name, values[at] ?? ''])));
	for (const [method, handler] of handlers) {
		await fc.assert(
			fc.asyncProperty(params, query, said, sent, async (given, asking, told, body) => {
				const leaving = new AbortController();
				const change = { body, headers: { 'content-length': '99', ...told }, duplex: 'half' };
				const request = asked(method, asking, { signal: leaving.signal, ...(method === 'GET' ? {} : change) });
				const answer = await handler(request, { params: Promise.resolve(given) });
				await expectAnswer(answer, `${method} ${file} ${JSON.stringify([given, asking])}`);
				leaving.abort();
			}),
			{ numRuns: method === 'GET' ? 25 : 120, seed: 1 },
		);
		if (method === 'GET') continue;
		const foreign = asked(method, [], { body: '', headers: { origin: 'http://evil.example' } });
		expect((await handler(foreign, { params: Promise.resolve({}) })).status).toBe(403);
	}
	expect(await store.db.selectFrom('photo').selectAll().execute()).toEqual([]);
});

test('a device that tried five wrong codes has to wait, with the right one too; another is let in', async () => {
	const { POST } = (await import('@/app/api/join/route')) as unknown as RouteModule;
	Reflect.deleteProperty(globalThis, 'decksideAttempts');
	const join = (code: string, address: string) => {
		const request = asked('POST', [], { body: JSON.stringify({ code }), headers: { 'x-deckside-address': address } });
		return POST!(request, { params: Promise.resolve({}) });
	};
	for (let k = 0; k < 5; k++) expect((await join('AAAA-AAAA', '10.0.0.1')).status).toBe(403);
	const late = await join(accessCode(), '10.0.0.1');
	expect([late.status, late.headers.get('set-cookie')]).toEqual([429, null]);
	expect(Number(late.headers.get('retry-after'))).toBeGreaterThan(500);
	const joined = await join(accessCode(), '10.0.0.2');
	expect([joined.status, joined.headers.get('set-cookie')]).toEqual([
		201,
		expect.stringMatching(/^deckside-device=[\w-]{43};.*HttpOnly; SameSite=Strict$/),
	]);
});

test('sixty photos at once: each is taken in, or told to come back and taken in then', async () => {
	const { PUT } = (await import('@/app/api/photos/[photoId]/route')) as unknown as RouteModule;
	const product = known[2] ?? '';
	let waiting = Array.from({ length: 60 }, () => randomUUID() as string);
	// the same bytes for one bin would be one photo
	const pictures = new Map<string, Buffer>();
	for (const [i, id] of waiting.entries()) pictures.set(id, await plainPng([100 + i, 128, 128]));
	const send = async (photoId: string) => {
		const bytes = pictures.get(photoId)!;
		const place = [
			['product', product],
			['spread', photoId],
			['name', 'tray.png'],
		] as const;
		const answer = await PUT!(asked('PUT', place, { body: bytes }), { params: Promise.resolve({ photoId }) });
		if (answer.status !== 201) {
			expect(answer.status).toBe(503);
			expect(Number(answer.headers.get('retry-after'))).toBeGreaterThan(0);
		}
		return answer.status === 201 ? [] : [photoId];
	};
	const rounds: number[] = [];
	while (waiting.length > 0) {
		waiting = (await Promise.all(waiting.map(send))).flat();
		rounds.push(waiting.length);
	}
	expect(rounds[0]).toBeGreaterThan(0);
	expect(rounds.length).toBeLessThan(10);
	expect(await store.db.selectFrom('photo').select('id').execute()).toHaveLength(60);
});
