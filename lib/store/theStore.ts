import 'server-only';
import { TrayError } from '../errors/TrayError';
import { type AnalysisPool, startAnalysisPool } from './analysisPool';
import { type AnalysisQueue, queueFor, startAnalysisQueue } from './analysisQueue';
import { dataDirectory, openStore, type Store } from './database';
import { loadDemoOnFirstStart } from './demo';
import { openDeviceDoor } from './deviceDoor';
import { deviceOf } from './devices';
import { openPostgres } from './postgres';
import { HOME_YARD } from './yardScope';

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

function start(): Promise<Running> {
  const url = process.env.DATABASE_URL;
  return url === undefined || url === '' ? startLocal() : startShared(url);
}

/** One program, one data directory: it also reads the photos. */
async function startLocal(): Promise<Running> {
  const store = await openStore(dataDirectory());
  const pool = startAnalysisPool();
  const queue = await startAnalysisQueue(store, pool);
  openDeviceDoor((token) => deviceOf(store, token));
  await loadDemoOnFirstStart(store);
  queue.wake();
  return { store, pool, queue };
}

/** One of any number of programs on a PostgreSQL database: it serves one yard, keeps nothing of its own, and leaves photos to workers. */
async function startShared(url: string): Promise<Running> {
  const yards = await openPostgres(url);
  const store = yards.storeOf(yardName());
  openDeviceDoor((token) => deviceOf(store, token));
  return { store, pool: startAnalysisPool(0), queue: queueFor(store) };
}

/** Whose data this program serves: DECKSIDE_YARD, else the yard that an installation of one's own has. */
function yardName(): string {
  const name = process.env.DECKSIDE_YARD || HOME_YARD;
  if (/^[a-z0-9-]{1,60}$/.test(name)) return name;
  const hint = 'Use small letters, digits and dashes, 60 at most.';
  throw new TrayError('usage', `DECKSIDE_YARD can't be "${name}".`, hint);
}
