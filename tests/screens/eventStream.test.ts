import { expect, test, vi } from 'vitest';
import { eventStream } from '@/app/_http/eventStream';
import { sharedLook } from '@/app/_http/sharedLooks';
import { startChanges } from '@/lib/store/changes';

test('a page hears the state at once and after each change, a burst as one, and nothing once it left', async () => {
	vi.useFakeTimers();
	const changes = startChanges();
	let state = 0;
	let looks = 0;
	const leave = new AbortController();
	const answer = eventStream(leave.signal, changes.listen, async () => {
		looks++;
		return { state };
	});
	expect(answer.headers.get('content-type')).toContain('text/event-stream');
	const reader = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
	expect((await reader.read()).value).toBe('retry: 2000\n\n');
	expect((await reader.read()).value).toBe('data: {"state":0}\n\n');
	state = 2;
	changes.announce();
	changes.announce();
	await vi.advanceTimersByTimeAsync(1000);
	expect((await reader.read()).value).toBe('data: {"state":2}\n\n');
	expect(looks).toBe(2);
	// word of a change that is not this page's: nothing to tell
	changes.announce();
	await vi.advanceTimersByTimeAsync(1000);
	expect(looks).toBe(3);
	leave.abort();
	changes.announce();
	await vi.advanceTimersByTimeAsync(60_000);
	expect(looks).toBe(3);
	expect((await reader.read()).done).toBe(true);
	vi.useRealTimers();
});

test('pages that show the same look once for each change, and never see what was found before it', async () => {
	const changes = startChanges();
	let looks = 0;
	const look = (name: string) => sharedLook(changes, name, async () => ++looks);
	expect(await Promise.all([look('run'), look('run'), look('other')])).toEqual([1, 1, 2]);
	const before = look('late');
	changes.announce();
	expect(await Promise.all([look('late'), look('run'), look('run'), before])).toEqual([4, 5, 5, 3]);
	// a look that failed is done again
	const failing = () => sharedLook(changes, 'failing', () => Promise.reject(new RangeError(String(++looks))));
	await expect(failing()).rejects.toThrow('6');
	await expect(failing()).rejects.toThrow('7');
});
