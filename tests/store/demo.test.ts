import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { loadDemo, loadDemoOnFirstStart, removeDemo } from '@/lib/store/demo';
import { exportRun } from '@/lib/store/exportRun';
import { listLots } from '@/lib/store/lots';
import { progressOf } from '@/lib/store/progress';
import { listRuns } from '@/lib/store/runs';
import { getBoard } from '@/lib/store/workedRun';
import { temporaryStore } from './temporaryStore';

test('the demonstration is loaded on the first start with nothing worked out beforehand', async () => {
  const store = await temporaryStore();
  await loadDemoOnFirstStart(store);
  const [run] = await listRuns(store);
  expect(run).toMatchObject({ demo: true, name: 'Demonstration run' });
  expect(await progressOf(store)).toMatchObject({ photos: 12, open: 12, graded: 0 });
  expect(await store.db.selectFrom('analysis').selectAll().execute()).toEqual([]);
});

test('once removed it stays away at the next start, and can be loaded again', async () => {
  const store = await temporaryStore();
  await loadDemoOnFirstStart(store);
  await removeDemo(store);
  await loadDemoOnFirstStart(store);
  expect(await listRuns(store)).toEqual([]);
  expect(await listLots(store)).toEqual([]);
  const again = await loadDemo(store);
  expect(await loadDemo(store)).toBe(again);
  expect(await listRuns(store)).toHaveLength(1);
});

test('the run saved as a file says what the demonstration file said', async () => {
  const store = await temporaryStore();
  const runId = await loadDemo(store);
  const saved = await exportRun(store, await getBoard(store, runId));
  const original = JSON.parse(await readFile('demo-images/run.json', 'utf8'));
  expect(saved.feed).toEqual(original.feed);
  expect(saved.settings).toEqual(original.settings);
  expect(saved.scales).toEqual(original.scales);
  expect(saved.products.map(({ weighing }) => weighing)).toEqual(
    original.products.map(({ weighing }: { weighing: unknown }) => weighing),
  );
  const photos = saved.products.flatMap(({ spreads }) => spreads?.flatMap((spread) => spread.photos) ?? []);
  expect(photos.map((photo) => (typeof photo === 'string' ? photo : photo.photo))).toEqual(
    original.products.flatMap(({ photos }: { photos: string[] }) => photos),
  );
});
