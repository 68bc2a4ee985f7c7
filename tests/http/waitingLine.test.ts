import { expect, onTestFinished, test, vi } from 'vitest';
import { sentBytes } from '@/app/_http/sentBytes';
import { WaitingLine } from '@/app/_http/waitingLine';

/** A piece of work that ends when it is told to. */
function job() {
	let end = () => {};
	const done = new Promise<void>((resolve) => {
		end = resolve;
	});
	return { work: () => done, end };
}

test('a few are let in, some wait their turn, the rest is told to come back', async () => {
	const line = new WaitingLine(2, 3);
	const jobs = Array.from({ length: 6 }, job);
	const begun: number[] = [];
	const outcomes = jobs.map(({ work }, at) =>
		line.pass(() => {
			begun.push(at);
			return work();
		}),
	);
	await expect(outcomes[5]).rejects.toMatchObject({ code: 'busy' });
	expect(begun).toEqual([0, 1]);
	for (const [at, { end }] of jobs.slice(0, 5).entries()) {
		end();
		await outcomes[at];
	}
	expect(begun).toEqual([0, 1, 2, 3, 4]);
	await expect(line.pass(async () => 'let in')).resolves.toBe('let in');
});

test('work that fails gives its place to the next', async () => {
	const line = new WaitingLine(1, 1);
	const failing = line.pass(async () => {
		throw new Error('broken connection');
	});
	const next = line.pass(async () => 'done');
	await expect(failing).rejects.toThrow('broken connection');
	await expect(next).resolves.toBe('done');
});

test('one who goes away while waiting leaves the line', async () => {
	const line = new WaitingLine(1, 1);
	const first = job();
	const inside = line.pass(first.work);
	const leaving = new AbortController();
	const gone = line.pass(async () => 'never', leaving.signal);
	leaving.abort();
	await expect(gone).rejects.toMatchObject({ code: 'busy' });
	const after = line.pass(async () => 'after');
	first.end();
	await inside;
	await expect(after).resolves.toBe('after');
});

test('phones that fall silent half-way through a photo keep nobody else out for long', async () => {
	vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
	onTestFinished(() => void vi.useRealTimers());
	const line = new WaitingLine();
	const half = () => {
		const body = new ReadableStream({ start: (controller) => controller.enqueue(new Uint8Array(1000)) });
		return new Request('http://127.0.0.1/', { method: 'PUT', body, duplex: 'half' } as RequestInit);
	};
	let bytes = 0;
	const silent = Array.from({ length: 4 }, () =>
		line.pass(async () => {
			const sent = sentBytes(half());
			try {
				for await (const piece of sent.pieces) bytes += piece.byteLength;
			} finally {
				await sent.throwAway();
			}
		}),
	);
	const ends = Promise.allSettled(silent);
	const told: string[] = [];
	line.pass(async () => told.push('taken in'));
	await vi.advanceTimersByTimeAsync(60_000);
	expect(told).toEqual(['taken in']);
	expect(bytes).toBe(4000);
	expect(await ends).toMatchObject(silent.map(() => ({ status: 'rejected', reason: { code: 'busy' } })));
});
