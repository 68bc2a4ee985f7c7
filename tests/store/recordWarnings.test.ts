import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import { addPhoto, removePhoto, setAside } from '@/lib/store/photos';
import { correctionsOf } from '@/lib/store/recordWarnings';
import { getBoard } from '@/lib/store/workedRun';
import { RUN, storedRun, temporaryStore } from './temporaryStore';

test('a record counts photos that were removed and those that were taken again', async () => {
  const store = await temporaryStore();
  const { runId, productId } = await storedRun(store);
  const spreadId = randomUUID();
  const ids = ['1', '2', '3'].map(() => randomUUID());
  for (const [p, id] of ids.entries()) {
    const kept = { sha256: String(p).repeat(64), sizeBytes: 9 };
    await addPhoto(store, { id, spreadId, productId, originalName: 'photo.jpg' }, kept);
  }
  await removePhoto(store, ids[0]!);
  await setAside(store, ids[1]!, spreadId);
  const { products } = await getBoard(store, runId);
  expect((await correctionsOf(store, products[0]!, RUN.material)).photosTakenOut).toBe(2);
});
