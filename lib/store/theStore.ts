import 'server-only';
import { type AnalysisPool, startAnalysisPool } from './analysisPool';
import { type AnalysisQueue, startAnalysisQueue } from './analysisQueue';
import { dataDirectory, openStore, type Store } from './database';
import { loadDemoOnFirstStart } from './demo';
import { openDeviceDoor } from './deviceDoor';
import { deviceOf } from './devices';

/** The one open store of this process with its workers. */
export interface Running {
  readonly store: Store;
  readonly pool: AnalysisPool;
  readonly queue: AnalysisQueue;
}

/** On the global object, so that a reload of the code during development does not open the database twice. */
const holder = globalThis as typeof globalThis & { decksideRunning?: Promise<Running> };

/**
 * The store of this process, opened on first use; photos left waiting by a stop are taken up again then.
 *
 * @throws TrayError `storage` when the data directory cannot be used; the next call tries again
 */
export function theStore(): Promise<Running> {
  holder.decksideRunning ??= start().catch((error) => {
    delete holder.decksideRunning;
    throw error;
  });
  return holder.decksideRunning;
}

async function start(): Promise<Running> {
  const store = await openStore(dataDirectory());
  const pool = startAnalysisPool();
  const queue = await startAnalysisQueue(store, pool);
  openDeviceDoor((token) => deviceOf(store, token));
  await loadDemoOnFirstStart(store);
  queue.wake();
  return { store, pool, queue };
}
