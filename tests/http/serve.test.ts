import { once } from 'node:events';
import { type IncomingMessage, request, type Server } from 'node:http';
import { createServer } from 'node:net';
import { afterEach, expect, test } from 'vitest';
import { type App, serve } from '@/app/_http/serve';
import { yardAsking } from '@/lib/store/askingYard';
import { deviceDoor, openDeviceDoor } from '@/lib/store/deviceDoor';

const TOKEN = 't'.repeat(43);
const COOKIE = `deckside-device=${TOKEN}`;
/** A second address of this machine, in the place of one that the local network reaches. */
const LAN = '127.0.0.2';

/** Answers with what it was told of who asks. */
const app: App = {
	handle: async (asked, answer) => {
		if (asked.url === '/endless') {
			answer.write('begun');
			return;
		}
		// what is looked up later on is still the same yard's
		await new Promise(setImmediate);
		answer.end(JSON.stringify({ ...asked.headers, yard: yardAsking() }));
	},
	upgrade: (_asked, socket) => socket.end('upgraded'),
};

let servers: readonly Server[] = [];

afterEach(() => {
	for (const server of servers) {
		server.close();
		server.closeAllConnections();
	}
});

async function listening(ownYard: string | null = 'home', network: readonly string[] = [LAN]): Promise<number> {
	const probe = createServer().listen(0, '127.0.0.1');
	await once(probe, 'listening');
	const place = probe.address();
	probe.close();
	await once(probe, 'close');
	const port = place !== null && typeof place === 'object' ? place.port : 0;
	servers = await serve(
		app,
		{ port, own: '127.0.0.1', network, names: ['yard.example'], ownYard: ownYard ?? undefined },
		false,
	);
	return port;
}

interface Answer {
	readonly status: number;
	readonly headers: IncomingMessage['headers'];
	readonly text: string;
}

async function ask(
	port: number,
	address: string,
	{ path = '/runs', method = 'GET', headers = {} }: { path?: string; method?: string; headers?: object } = {},
): Promise<Answer> {
	const asked = request({ host: address, port, path, method, headers: { host: `${address}:${port}`, ...headers } });
	asked.end();
	const [answer] = (await once(asked, 'response')) as [IncomingMessage];
	let text = '';
	for await (const chunk of answer.setEncoding('utf8')) text += chunk;
	return { status: answer.statusCode ?? 0, headers: answer.headers, text };
}

test('this machine gets through without a code, and is told apart from devices', async () => {
	const port = await listening();
	const answer = await ask(port, '127.0.0.1');
	expect(answer.status).toBe(200);
	expect(JSON.parse(answer.text)).toMatchObject({ 'x-deckside-seat': 'own', yard: 'home' });
	expect((await ask(port, '127.0.0.1', { headers: { host: 'yard.example' } })).status).toBe(200);
});

test('unless it is asked to, nothing listens where the network reaches it', async () => {
	const port = await listening('home', []);
	expect((await ask(port, '127.0.0.1')).status).toBe(200);
	await expect(ask(port, LAN)).rejects.toMatchObject({ code: 'ECONNREFUSED' });
});

test('a device gets through with its cookie until it is forgotten, and what is under way to it is cut off', async () => {
	const port = await listening();
	const known = new Map([[TOKEN, { deviceId: 'phone-1', yardId: 'home', isOffice: false }]]);
	openDeviceDoor(async (token) => known.get(token));
	expect((await ask(port, LAN)).status).toBe(403);
	const joined = await ask(port, LAN, { headers: { cookie: COOKIE } });
	expect(joined.status).toBe(200);
	expect(JSON.parse(joined.text)).toMatchObject({ 'x-deckside-seat': 'device', 'x-deckside-device': 'phone-1' });
	const stream = request({ host: LAN, port, path: '/endless', headers: { host: LAN, cookie: COOKIE } });
	stream.end();
	const [answer] = (await once(stream, 'response')) as [IncomingMessage];
	await once(answer, 'data');
	known.delete(TOKEN);
	const cut = once(answer, 'error');
	deviceDoor()?.letGo('phone-1');
	await expect(cut).resolves.toMatchObject([{ code: 'ECONNRESET' }]);
	expect((await ask(port, LAN, { headers: { cookie: COOKIE } })).status).toBe(403);
});

test('where many yards are served each request is the yard of the device that asks, and no other is', async () => {
	const port = await listening(null);
	const yards = ['north', 'south', 'office'];
	const tokenOf = (yardId: string) => yardId[0]!.repeat(43);
	const sessions = new Map(
		yards.map((yardId) => [tokenOf(yardId), { deviceId: `${yardId}-1`, yardId, isOffice: yardId === 'office' }]),
	);
	openDeviceDoor(async (token) => sessions.get(token));
	expect((await ask(port, '127.0.0.1')).status).toBe(403);
	const stranger = await ask(port, '127.0.0.1', {
		path: '/join',
		headers: { 'x-forwarded-for': '1.1.1.1, 2.2.2.2', 'x-forwarded-proto': 'https' },
	});
	expect(JSON.parse(stranger.text)).toMatchObject({
		'x-deckside-seat': 'guest',
		'x-deckside-address': '2.2.2.2',
		'x-deckside-encrypted': 'yes',
	});
	expect(JSON.parse(stranger.text)).not.toHaveProperty('yard');
	const asking = Array.from({ length: 30 }, (_, at) => yards[at % 3]!);
	const answers = await Promise.all(
		asking.map((yard) => ask(port, '127.0.0.1', { headers: { cookie: `deckside-device=${tokenOf(yard)}` } })),
	);
	for (const [at, { text }] of answers.entries()) {
		const yard = asking[at];
		expect(JSON.parse(text)).toMatchObject({ yard, 'x-deckside-seat': yard === 'office' ? 'own' : 'device' });
	}
});

test('what a client claims to be is thrown away', async () => {
	const port = await listening();
	const claims = { 'x-deckside-seat': 'own', 'x-deckside-device': 'phone-1', 'x-forwarded-host': 'evil.example' };
	const answer = await ask(port, LAN, { path: '/join', headers: claims });
	const heard = JSON.parse(answer.text);
	expect(heard).toMatchObject({ 'x-deckside-seat': 'guest', 'x-deckside-address': expect.stringContaining('127.0.0') });
	expect(heard).not.toHaveProperty('x-deckside-device');
	expect(heard).not.toHaveProperty('x-forwarded-host');
});

test('a refusal is a page to a person and data to a program; both name the way in', async () => {
	const port = await listening();
	const page = await ask(port, LAN, { headers: { accept: 'text/html,*/*' } });
	expect(page.status).toBe(403);
	expect(page.text).toContain('href="/join"');
	const data = await ask(port, LAN, { path: '/api/photos/x/picture' });
	expect(JSON.parse(data.text)).toMatchObject({ message: 'This device has not joined.' });
	expect(data.headers['cache-control']).toBe('no-store');
});

test('a foreign name, an odd address and a foreign page reach nothing', async () => {
	const port = await listening();
	const status = async (address: string, asked: Parameters<typeof ask>[2]) => (await ask(port, address, asked)).status;
	for (const address of ['127.0.0.1', LAN]) {
		expect(await status(address, { headers: { host: 'evil.example', cookie: COOKIE } })).toBe(421);
		expect(await status(address, { path: '/shared/../runs' })).toBe(400);
		expect(await status(address, { path: 'http://127.0.0.1/runs' })).toBe(400);
		expect(await status(address, { method: 'POST', headers: { origin: 'http://evil.example' } })).toBe(403);
	}
});

test('every answer, refusals too, carries the headers that keep a browser strict, with a nonce of its own', async () => {
	const port = await listening();
	const answers = [await ask(port, '127.0.0.1'), await ask(port, '127.0.0.1'), await ask(port, LAN)];
	const policies = answers.map(({ headers }) => headers['content-security-policy'] ?? '');
	for (const [at, { headers }] of answers.entries()) {
		expect(headers).toMatchObject({ 'x-content-type-options': 'nosniff', 'x-frame-options': 'DENY' });
		expect(policies[at]).toMatch(/script-src 'self' 'nonce-[\w-]{24}'/);
	}
	expect(new Set(policies).size).toBe(3);
	// the app is told the nonce that the browser is told
	expect(JSON.parse(answers[0]?.text ?? '')['content-security-policy']).toBe(policies[0]);
});

test('no connection is lifted past the gate into a web socket', async () => {
	const port = await listening();
	const answer = await ask(port, LAN, { headers: { connection: 'upgrade', upgrade: 'websocket' } });
	expect(answer.status).toBe(403);
});

test('a stranger who sends a large photo hears why it is refused', async () => {
	const port = await listening();
	const asked = request({ host: LAN, port, path: '/api/photos/x', method: 'PUT', headers: { host: LAN } });
	asked.end(Buffer.alloc(12_000_000));
	const [answer] = (await once(asked, 'response')) as [IncomingMessage];
	expect(answer.statusCode).toBe(403);
	answer.resume();
});
