import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Asked, refusalOf } from '@/app/_http/gate';
import { refuseForeign } from '@/app/_http/refuseForeign';

const HOSTS = new Set(['localhost', '127.0.0.1', '[::1]']);
const LAN = new Set(['192.168.1.20']);

/** A plain look at a page by this machine's own browser. */
const OWN: Asked = {
	method: 'GET',
	target: '/runs',
	headers: { host: '127.0.0.1:3000' },
	listener: 'own',
	joined: false,
};
const STRANGER: Asked = { ...OWN, listener: 'network', headers: { host: '192.168.1.20:3000' } };
const JOINED: Asked = { ...STRANGER, joined: true };

const own = (asked: Partial<Asked> = {}) => refusalOf({ ...OWN, ...asked }, HOSTS)?.status;
const stranger = (asked: Partial<Asked> = {}) => refusalOf({ ...STRANGER, ...asked }, LAN)?.status;
const joined = (asked: Partial<Asked> = {}) => refusalOf({ ...JOINED, ...asked }, LAN)?.status;

test('this machine reads and changes under any of its own names', () => {
	for (const host of ['127.0.0.1:3000', 'localhost:3000', 'LOCALHOST:3000', '[::1]:3000', 'localhost']) {
		expect(own({ headers: { host } }), host).toBeUndefined();
		const change = { method: 'POST', headers: { host, origin: `http://${host.toLowerCase()}` } };
		expect(own(change), host).toBeUndefined();
	}
});

test('where many yards are served, sitting at this machine lets nobody in: only a device that joined', () => {
	const at = (target: string, asked: Partial<Asked> = {}) => own({ target, isShared: true, ...asked });
	expect(at('/runs')).toBe(403);
	expect(at('/api/photos/x', { method: 'PUT' })).toBe(403);
	expect(at('/runs', { joined: true })).toBeUndefined();
	for (const open of ['/join', '/shared/token', '/api/ready']) expect(at(open), open).toBeUndefined();
	expect(at('/api/ready', { method: 'POST' })).toBe(403);
	expect(at('/api/ready', { listener: 'network', headers: STRANGER.headers })).toBe(421);
});

test('a foreign name pointed at this machine reaches nothing, on either listener, for any way of asking', () => {
	const hosts = [
		'evil.example',
		'evil.example:3000',
		'localhost.evil.example',
		'127.0.0.1.evil.example',
		'10.0.0.1',
		'',
	];
	for (const host of [...hosts, '127.0.0.1@evil.example', 'localhost:3000, evil.example']) {
		for (const method of ['GET', 'POST', 'PUT']) {
			expect(own({ method, headers: { host } }), host).toBe(421);
			expect(joined({ method, headers: { host } }), host).toBe(421);
		}
	}
	expect(own({ headers: {} })).toBe(421);
});

test('the network cannot use the names of the machine itself', () => {
	expect(joined({ headers: { host: 'localhost:3000' } })).toBe(421);
	expect(own({ headers: { host: '192.168.1.20:3000' } })).toBe(421);
});

test('a change is taken from our own page only, or from a program without a page', () => {
	const host = '127.0.0.1:3000';
	const change = (headers: Asked['headers']) => own({ method: 'PUT', headers: { host, ...headers } });
	expect(change({})).toBeUndefined();
	expect(change({ origin: `http://${host}`, 'sec-fetch-site': 'same-origin' })).toBeUndefined();
	expect(change({ origin: 'http://evil.example' })).toBe(403);
	expect(change({ origin: 'null' })).toBe(403);
	expect(change({ origin: 'http://127.0.0.1:8080' })).toBe(403);
	expect(change({ origin: `http://${host}`, 'sec-fetch-site': 'cross-site' })).toBe(403);
	expect(change({ 'sec-fetch-site': 'same-site' })).toBe(403);
});

test('another site may link here but not draw from here', () => {
	const host = '127.0.0.1:3000';
	const link = { host, 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'navigate', 'sec-fetch-dest': 'document' };
	expect(own({ headers: link })).toBeUndefined();
	expect(own({ headers: { ...link, 'sec-fetch-dest': 'iframe' } })).toBe(403);
	expect(own({ headers: { host, 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'no-cors' } })).toBe(403);
	expect(own({ headers: { host, 'sec-fetch-site': 'same-site', 'sec-fetch-mode': 'cors' } })).toBe(403);
});

test('on the network nothing is open before joining but the door, the look and shared records', () => {
	const open = ['/join', '/_next/static/chunks/a.js', '/icon.svg', '/shared/abc'];
	for (const target of open) {
		expect(stranger({ target }), target).toBeUndefined();
		expect(stranger({ target, method: 'HEAD' }), target).toBeUndefined();
		// a server action is a change sent to a page's address
		for (const method of ['POST', 'PUT', 'DELETE']) expect(stranger({ target, method }), target).toBe(403);
	}
	expect(stranger({ target: '/api/join', method: 'POST' })).toBeUndefined();
	const shut = [
		'/',
		'/runs',
		'/devices',
		'/api/ready',
		'/api/photos/x/picture',
		'/api/join',
		'/_next/image',
		'/_next/data/x',
	];
	for (const target of [...shut, '/joined', '/shared', '/sharedx', '/join/', '/JOIN', '/runs?x=/shared/']) {
		expect(stranger({ target }), target).toBe(403);
		expect(joined({ target }), target).toBeUndefined();
	}
});

test('addresses that could be read in two ways are refused', () => {
	const tricks = [
		'//runs',
		'/shared/../runs',
		'/shared/%2e%2e/runs',
		'/shared/..%2fruns',
		'/shared/.%2e/runs',
		'/shared//runs',
	];
	const others = [
		'/shared/\\runs',
		'/shared/%5cruns',
		'/shared/%00',
		'http://localhost/runs',
		'*',
		'',
		'/a b',
		'/shared/./x',
	];
	for (const target of [...tricks, ...others]) {
		expect(own({ target }), target).toBe(400);
		expect(stranger({ target }), target).toBe(400);
	}
	expect(own({ target: `/runs?name=${'a'.repeat(10_000)}` })).toBe(414);
});

test('ways of asking that nothing here needs are refused', () => {
	for (const method of ['TRACE', 'CONNECT', 'OPTIONS', 'get', '']) expect(own({ method }), method).toBe(405);
});

test('whatever a stranger asks for, only what is open is let through', () => {
	const segment = fc.oneof(
		fc.constantFrom('..', '.', '%2e%2e', 'shared', 'join', 'runs', 'api', '_next', 'static', ''),
		fc.string(),
	);
	const target = fc.array(segment).map((parts) => `/${parts.join('/')}`);
	const method = fc.constantFrom('GET', 'HEAD', 'POST', 'PUT', 'PATCH', 'DELETE');
	fc.assert(
		fc.property(target, method, (asked, way) => {
			if (stranger({ target: asked, method: way }) !== undefined) return true;
			const { pathname } = new URL(asked, 'http://a');
			return way === 'POST'
				? pathname === '/api/join'
				: /^\/(join|icon\.svg|_next\/static\/.*|shared\/.*)$/.test(pathname);
		}),
		{ numRuns: 2000 },
	);
});

test('routes know our own pages as the gate does, on every Node that this runs on', () => {
	const { parse } = URL;
	// the oldest one has no such function
	Reflect.deleteProperty(URL, 'parse');
	try {
		const asked = (headers: Record<string, string>) =>
			refuseForeign(new Request('http://127.0.0.1:3000/api/join', { method: 'POST', headers }))?.status;
		const host = '127.0.0.1:3000';
		expect(asked({ host, origin: 'http://127.0.0.1:3000', 'sec-fetch-site': 'same-origin' })).toBeUndefined();
		expect(asked({ host: 'LOCALHOST:3000', origin: 'http://localhost:3000' })).toBeUndefined();
		expect(asked({ host })).toBeUndefined();
		for (const origin of ['http://evil.example', 'http://127.0.0.1:3001', 'null', '']) {
			expect(asked({ host, origin }), origin).toBe(403);
		}
		expect(asked({ host, origin: 'http://127.0.0.1:3000', 'sec-fetch-site': 'cross-site' })).toBe(403);
	} finally {
		URL.parse = parse;
	}
});
