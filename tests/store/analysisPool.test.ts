import { EventEmitter } from 'node:events';
import { availableParallelism } from 'node:os';
import type { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { type JobMessage, startAnalysisPool } from '@/lib/store/analysisPool';
import { readingChoiceSchema } from '@/lib/store/entries';

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
  answer(): void {
    this.emit('message', { reply: { ok: false, code: 'storage', message: 'Told to.', hint: '' } });
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
