import { expect, test } from 'vitest';
import { deviceCookie, deviceTokenOf } from '@/app/_http/deviceCookie';
import { deviceNameOf } from '@/app/_http/deviceName';
import { isStillHere, localAddresses } from '@/app/_http/localAddresses';
import { seatOf } from '@/app/_http/seat';
import { securityHeaders } from '@/app/_http/securityHeaders';

const link = (address: string, rest: object = {}) => ({
	address,
	family: 'IPv4' as const,
	internal: false,
	netmask: '255.255.255.0',
	mac: '00:00:00:00:00:00',
	cidr: null,
	...rest,
});

test('phones are led to private addresses of real links, and never to a public one', () => {
	const found = localAddresses({
		lo: [link('127.0.0.1', { internal: true })],
		enp3s0: [link('10.9.8.7')],
		wlan0: [link('169.254.7.7'), link('192.168.1.20'), { ...link('fe80::1'), family: 'IPv6', scopeid: 2 }],
		eth0: [link('203.0.113.9'), link('172.20.0.4')],
		docker0: [link('172.17.0.1')],
		gone: undefined,
	});
	expect(found).toEqual(['192.168.1.20', '10.9.8.7', '172.20.0.4', '169.254.7.7']);
	for (const address of ['172.15.0.1', '172.32.0.1', '11.0.0.1', '192.169.0.1']) {
		expect(localAddresses({ eth0: [link(address)] }), address).toEqual([]);
	}
});

test('an address that the Wi-Fi has given anew meanwhile is not one of this machine any more', () => {
	const now = { wlan0: [link('192.168.1.55')] };
	expect(['192.168.1.55', '192.168.1.20', '127.0.0.2'].map((one) => isStillHere(one, now))).toEqual([
		true,
		false,
		true,
	]);
});

test('the cookie of a device is out of reach of scripts and of other sites', () => {
	const token = 'a'.repeat(43);
	expect(deviceCookie(token, false)).toMatch(/; HttpOnly; SameSite=Strict$/);
	expect(deviceCookie(token, true)).toMatch(/; HttpOnly; SameSite=Strict; Secure$/);
	expect(deviceTokenOf(`other=1; ${deviceCookie(token, false).split(';')[0]}; x`)).toBe(token);
	for (const bad of [undefined, '', 'deckside-device=', 'deckside-device=short', `not-deckside-device=${token}`]) {
		expect(deviceTokenOf(bad), bad).toBeUndefined();
	}
});

test('a device is called by its kind until it is named', () => {
	expect(deviceNameOf('Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15')).toBe('iPhone');
	expect(deviceNameOf('Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 Mobile Safari/537.36')).toBe(
		'Android phone',
	);
	expect(deviceNameOf(null)).toBe('A device');
});

test('who asks is what the gate says', () => {
	const seat = (given: Record<string, string>) => seatOf(new Headers(given)).kind;
	expect(seat({})).toBe('own');
	expect(seat({ 'x-deckside-seat': 'guest' })).toBe('guest');
	expect(seat({ 'x-deckside-seat': 'device', 'x-deckside-device': 'a' })).toBe('device');
});

test('no script runs but with the nonce of its answer, and data runs nothing at all', () => {
	const policy = securityHeaders('/runs', 'abc', false)['Content-Security-Policy'] ?? '';
	const scripts = policy.split('; ').find((directive) => directive.startsWith('script-src ')) ?? '';
	expect(scripts).toContain("'nonce-abc'");
	// what compiles WebAssembly runs no text
	expect(scripts.replace(" 'wasm-unsafe-eval'", '')).not.toMatch(/unsafe|https?:|\*/);
	expect(policy).not.toMatch(/https?:|\*/);
	expect(securityHeaders('/api/photos/x/picture', 'abc', false)['Content-Security-Policy']).toContain(
		"default-src 'none'",
	);
	expect(securityHeaders('/', 'abc', false)['X-Content-Type-Options']).toBe('nosniff');
});
