import { spawnSync } from 'node:child_process';
import { createServer } from 'node:net';
import { expect, test } from 'vitest';
import { isBlockedPort } from '@/app/_command/blockedPort.mjs';

test.each([['--lan', 'everywhere'], ['--wan'], ['0.0.0.0'], ['--lan', '0.0.0.0; rm']])(
	'start refuses %s %s with a word on what it takes',
	(...given) => {
		const { status, stderr } = spawnSync(process.execPath, ['app/_command/start.mjs', ...given], { encoding: 'utf8' });
		expect(status).toBe(1);
		expect(stderr).toContain('npm start -- --lan');
	},
);

test('a port that browsers open no page at is told from one that they do', async () => {
	// WHATWG Fetch, port blocking: sieve and X11
	expect(await isBlockedPort(4190)).toBe(true);
	expect(await isBlockedPort(6000)).toBe(true);
	// one that the system gave and nobody listens at any more
	const free = await new Promise<number>((resolve) => {
		const probe = createServer().listen(0, '127.0.0.1', () => {
			const at = probe.address();
			probe.close(() => resolve(typeof at === 'object' ? (at?.port ?? 0) : 0));
		});
	});
	expect(await isBlockedPort(free)).toBe(false);
});
