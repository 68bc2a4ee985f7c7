import { EventEmitter } from 'node:events';
import { availableParallelism } from 'node:os';
import type { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { startAnalysisPool } from '@/lib/store/analysisPool';
import { readingChoiceSchema } from '@/lib/store/entries';
import type { JobMessage, JobReply } from '@/lib/store/poolJobs';

/** Takes jobs and answers when told to. */
class ToldWorker extends EventEmitter {
	readonly taken: JobMessage[] = [];
	ref(): void {}
	unref(): void {}
	postMessage(message: JobMessage): void {
		this.taken.push(message);
	}
	async terminate(): Promise<number> {
		return 0;
	}
	answer(reply: JobReply = { ok: false, code: 'storage', message: 'Told to.', hint: '' }): void {
		this.emit('message', { reply });
	}
}

const options = {
	choice: readingChoiceSchema.parse({}),
	material: DEFAULT_MATERIAL,
	matScale: 1,
	photoName: 'photo.jpg',
};

test('threads are told at every moment how many processors no job keeps busy', async () => {
	const workers: ToldWorker[] = [];
	const pool = startAnalysisPool(2, () => {
		workers.push(new ToldWorker());
		return workers.at(-1) as unknown as Worker;
	});
	const read = (stop?: AbortSignal) => pool.analysePhoto(new Uint8Array(1), options, stop).catch(() => 'refused');
	const left = () => availableParallelism() - (workers[0]?.taken[0]?.spare[0] ?? Number.NaN);
	const stopped = new AbortController();
	const first = read();
	expect(left()).toBe(1);
	const second = read(stopped.signal);
	expect(left()).toBe(2);
	// a third waits and keeps none busy
	const third = read();
	expect(left()).toBe(2);
	workers[0]?.answer();
	await first;
	expect(left()).toBe(2);
	stopped.abort();
	await second;
	workers[0]?.answer();
	await third;
	expect(left()).toBe(0);
	// all threads hear of the same numbers
	expect(new Set(workers.flatMap(({ taken }) => taken.map(({ spare }) => spare))).size).toBe(1);
	await pool.close();
});

test('threads practise while nobody waits, and leave off when a photo comes', async () => {
	const workers: ToldWorker[] = [];
	const pool = startAnalysisPool(2, () => {
		workers.push(new ToldWorker());
		return workers.at(-1) as unknown as Worker;
	});
	const read: JobReply = { ok: true, value: [] };
	const kinds = () => workers.map(({ taken }) => taken.map(({ job }) => job.kind));
	const turn = () => new Promise((resolve) => setImmediate(resolve));
	const practice = pool.practise(new Uint8Array(1), options, 3);
	expect(kinds()).toEqual([['practice'], ['practice']]);
	for (const worker of workers) worker.answer(read);
	await turn();
	expect(kinds()).toEqual([
		['practice', 'practice'],
		['practice', 'practice'],
	]);
	const photo = pool.analysePhoto(new Uint8Array(1), options).catch((refused: Error) => refused.message);
	workers[0]?.answer(read);
	await turn();
	workers[1]?.answer(read);
	await practice;
	// neither begins the third
	expect(kinds()).toEqual([
		['practice', 'practice', 'photo'],
		['practice', 'practice'],
	]);
	workers[0]?.answer();
	expect(await photo).toBe('Told to.');
	await pool.practise(new Uint8Array(1), options, 3);
	expect(workers[1]?.taken).toHaveLength(2);
	await pool.close();
});
