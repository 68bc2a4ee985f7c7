import { expect, test, vi } from 'vitest';
import { eventStream } from '@/app/_http/eventStream';
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
