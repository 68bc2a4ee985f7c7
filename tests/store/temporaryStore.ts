import { randomUUID } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { onTestFinished } from 'vitest';
import { openStore, type Store } from '@/lib/store/database';
import { addLot } from '@/lib/store/lots';
import { listProducts } from '@/lib/store/products';
import { addRun } from '@/lib/store/runs';
import { LOT, RUN } from './madeUp';

export { LOT, RUN };

/** A fresh folder that goes away after the test. */
export async function temporaryFolder(): Promise<string> {
  const folder = await mkdtemp(path.join(tmpdir(), 'deckside-test-'));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  return folder;
}

/** A real data directory in a fresh folder. */
export async function temporaryStore(folder?: string): Promise<Store> {
  const store = await openStore(folder ?? (await temporaryFolder()));
  onTestFinished(() => store.close());
  return store;
}

/** A lot, a run of it with the default products, and their ids. */
export async function storedRun(store: Store) {
  const [lotId, runId] = [randomUUID(), randomUUID()];
  await addLot(store, lotId, LOT);
  await addRun(store, runId, lotId, RUN);
  const products = await listProducts(store, runId);
  return { lotId, runId, products, productId: products[0]!.id };
}

/** Bytes as they come from a connection, in small pieces. */
export async function* inPieces(bytes: Uint8Array, piece = 1000): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += piece) yield bytes.subarray(at, at + piece);
}
