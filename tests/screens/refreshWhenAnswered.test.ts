import { afterEach, expect, test, vi } from 'vitest';
import { refreshWhenAnswered } from '@/app/_parts/refreshWhenAnswered';

afterEach(() => {
	vi.unstubAllGlobals();
	vi.useRealTimers();
});

test('a page is asked for anew only once somebody answers, and not after it was left', async () => {
	vi.useFakeTimers();
	const answer = vi.fn(() => Promise.reject(new TypeError('Failed to fetch')));
	vi.stubGlobal('fetch', answer);
	const refresh = vi.fn();
	const leave = refreshWhenAnswered(refresh);
	await vi.advanceTimersByTimeAsync(12_000);
	expect(answer).toHaveBeenCalledTimes(3);
	expect(refresh).not.toHaveBeenCalled();
	// nor while the device is a forgotten one
	vi.stubGlobal('fetch', () => Promise.resolve(new Response('{}', { status: 403 })));
	await vi.advanceTimersByTimeAsync(10_000);
	expect(refresh).not.toHaveBeenCalled();
	vi.stubGlobal('fetch', () => Promise.resolve(new Response()));
	await vi.advanceTimersByTimeAsync(5000);
	expect(refresh).toHaveBeenCalledTimes(1);
	vi.stubGlobal('fetch', answer);
	const left = refreshWhenAnswered(refresh);
	await vi.advanceTimersByTimeAsync(1000);
	leave();
	left();
	vi.stubGlobal('fetch', () => Promise.resolve(new Response()));
	await vi.advanceTimersByTimeAsync(10_000);
	expect(refresh).toHaveBeenCalledTimes(1);
});

test('a page that was asked for is asked for again while the link is lost, the device forgotten or the answer broken off', async () => {
	vi.useFakeTimers();
	vi.stubGlobal('location', { href: 'http://a/runs/1', origin: 'http://a', pathname: '/runs/1' });
	const brokenOff = new ReadableStream({
		start: (answer) => {
			answer.enqueue(new TextEncoder().encode('half'));
			answer.error(new TypeError('network error'));
		},
	});
	const send = vi
		.fn<typeof fetch>()
		.mockResolvedValueOnce(new Response())
		.mockRejectedValueOnce(new TypeError('Failed to fetch'))
		.mockResolvedValueOnce(new Response('{}', { status: 403 }))
		.mockResolvedValueOnce(new Response(brokenOff))
		.mockResolvedValueOnce(new Response('whole'))
		.mockResolvedValueOnce(new Response('{}', { status: 403 }));
	vi.stubGlobal('fetch', send);
	// as in a page of its own: what is asked for goes through the module once it was loaded there
	vi.resetModules();
	const loaded = await import('@/app/_parts/refreshWhenAnswered');
	loaded.refreshWhenAnswered(vi.fn());
	await vi.advanceTimersByTimeAsync(0);
	const page = fetch('/runs/1?_rsc=1', { headers: { rsc: '1' } });
	await vi.advanceTimersByTimeAsync(15_000);
	expect(await (await page).text()).toBe('whole');
	expect((await fetch('/runs/2?_rsc=1', { headers: { rsc: '1' } })).status).toBe(403);
	expect(send).toHaveBeenCalledTimes(6);
});
