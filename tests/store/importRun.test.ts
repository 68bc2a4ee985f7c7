import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import type { Store } from '@/lib/store/database';
import { exportRun } from '@/lib/store/exportRun';
import { importRun } from '@/lib/store/importRun';
import { keepPhoto } from '@/lib/store/photoFiles';
import { addPhoto } from '@/lib/store/photos';
import { weighProduct } from '@/lib/store/products';
import { getBoard } from '@/lib/store/workedRun';
import { inPieces, storedRun, temporaryStore } from './temporaryStore';

/** A run with a weighed bin and two photos of one spread. */
async function filledRun(store: Store): Promise<string> {
  const { runId, productId } = await storedRun(store);
  await weighProduct(store, productId, { gross: '5,07', tare: '0.78', unit: 'kg', scale: 'hanging scale' });
  const spreadId = randomUUID();
  for (const name of ['first.jpg', 'second.jpg']) {
    const kept = await keepPhoto(store.directory, inPieces(new TextEncoder().encode(name.repeat(100))));
    await addPhoto(store, { id: randomUUID(), spreadId, productId, originalName: name }, kept);
  }
  return runId;
}

test('a run saved as a file and taken in again is the same run, its photos found by their checksums', async () => {
  const store = await temporaryStore();
  const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
  const { runId, missingPhotos } = await importRun(store, JSON.stringify(saved));
  expect(missingPhotos).toEqual([]);
  expect(await exportRun(store, await getBoard(store, runId))).toEqual(saved);
});

test('where the originals are not, the run is taken in without photos and they are named', async () => {
  const store = await temporaryStore();
  const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
  const other = await temporaryStore();
  const { runId, missingPhotos } = await importRun(other, JSON.stringify(saved));
  expect(missingPhotos).toEqual(['first.jpg', 'second.jpg']);
  const again = await exportRun(other, await getBoard(other, runId));
  expect(again.products.map(({ name, weighing }) => [name, weighing])).toEqual(
    saved.products.map(({ name, weighing }) => [name, weighing]),
  );
  expect(again.settings).toEqual(saved.settings);
});

test('a file that is not JSON, of another form, or of an unknown material is refused with a sentence', async () => {
  const store = await temporaryStore();
  await expect(importRun(store, '{')).rejects.toThrow('not JSON');
  await expect(importRun(store, '{"deckside":"run/9","name":"x","products":[]}')).rejects.toThrow('not a run file');
  const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
  const unknown = JSON.stringify({ ...saved, material: 'moon dust' });
  await expect(importRun(store, unknown)).rejects.toThrow('moon dust');
});
