import { beforeEach, expect, onTestFinished, test, vi } from 'vitest';
import { Tries, type TryEnd } from '@/app/_outbox/tries';

beforeEach(() => {
	vi.useFakeTimers();
	onTestFinished(() => void vi.useRealTimers());
});

/** Tries whose ends are said by the test. */
function triesOf(isAnyLeft = () => false) {
	const begun: { readonly end: (end: TryEnd) => Promise<void>; readonly fail: () => Promise<void> }[] = [];
	const stumbled = vi.fn();
	const send = () =>
		new Promise<TryEnd>((resolve, reject) => {
			const then = async (settle: () => void) => {
				settle();
				await vi.advanceTimersByTimeAsync(0);
			};
			begun.push({ end: (end) => then(() => resolve(end)), fail: () => then(() => reject(new Error('no storage'))) });
		});
	const tries = new Tries({ send, alone: (work) => work(), isAnyLeft, stumbled });
	return { tries, begun, stumbled };
}

test('after tries that fail the next ones come later and later, and soon again once something got through', async () => {
	const { tries, begun } = triesOf();
	tries.now();
	for (const waitMs of [1000, 2000, 4000, 8000, 15_000, 30_000, 30_000]) {
		const count = begun.length;
		await begun.at(-1)?.end('later');
		await vi.advanceTimersByTimeAsync(waitMs - 1);
		expect(begun).toHaveLength(count);
		await vi.advanceTimersByTimeAsync(1);
		expect(begun).toHaveLength(count + 1);
	}
	tries.gotThrough();
	await begun.at(-1)?.end('later');
	await vi.advanceTimersByTimeAsync(1000);
	expect(begun).toHaveLength(9);
});

test('there is one try at a time; one asked for between two begins at once, in the place of the one that would have come', async () => {
	const { tries, begun } = triesOf();
	tries.now();
	tries.now();
	expect(begun).toHaveLength(1);
	await begun[0]?.end('later');
	tries.now();
	tries.now();
	expect(begun).toHaveLength(2);
	await vi.advanceTimersByTimeAsync(60_000);
	expect(begun).toHaveLength(2);
	await begun[1]?.end('allSent');
	await vi.advanceTimersByTimeAsync(60_000);
	expect(begun).toHaveLength(2);
});

test('a try whose link is quiet is given up when a new one is asked for, which then comes soon', async () => {
	const { tries, begun } = triesOf();
	tries.now();
	await begun[0]?.end('later');
	tries.now();
	const giveUp = vi.fn();
	tries.quiet(giveUp);
	tries.now();
	expect(giveUp).toHaveBeenCalledOnce();
	expect(begun).toHaveLength(2);
	expect(tries.carries()).toBe(true);
	expect(tries.carries()).toBe(false);
	await begun[1]?.end('later');
	await vi.advanceTimersByTimeAsync(1000);
	expect(begun).toHaveLength(3);
});

test('what is told late of a try that has ended changes nothing', async () => {
	const { tries, begun } = triesOf();
	tries.now();
	await begun[0]?.end('allSent');
	const giveUp = vi.fn();
	tries.quiet(giveUp);
	tries.carries();
	tries.now();
	expect(giveUp).not.toHaveBeenCalled();
	expect(begun).toHaveLength(2);
});

test('what was added at the last moment is sent, and a try that stumbles is told of and made again', async () => {
	const left = [true];
	const { tries, begun, stumbled } = triesOf(() => left.pop() ?? false);
	tries.now();
	await begun[0]?.end('allSent');
	expect(begun).toHaveLength(2);
	await begun[1]?.fail();
	expect(stumbled).toHaveBeenCalledOnce();
	await vi.advanceTimersByTimeAsync(1000);
	expect(begun).toHaveLength(3);
});
