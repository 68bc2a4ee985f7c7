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
