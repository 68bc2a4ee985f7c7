import 'server-only';
import type { Store } from './database';

/** How far the reading of a run's photos has come, counted. */
export interface Progress {
  readonly photos: number;
  readonly graded: number;
  readonly refused: number;
  /** Waiting or being read. */
  readonly open: number;
  /** From the mean time of the latest readings; absent before there is one or when nothing is open. */
  readonly secondsLeft?: number;
}

/** Count the photos of one run, or of all runs. */
export async function progressOf(store: Store, runId?: string, workers = 2): Promise<Progress> {
  let query = store.db
    .selectFrom('photo')
    .innerJoin('spread', 'spread.id', 'photo.spread_id')
    .innerJoin('product', 'product.id', 'spread.product_id')
    .innerJoin('run', 'run.id', 'product.run_id')
    .select((eb) => ['photo.state', eb.fn.countAll<number>().as('n')])
    .where('photo.deleted_at', 'is', null)
    .where('product.deleted_at', 'is', null)
    .where('run.deleted_at', 'is', null)
    .groupBy('photo.state');
  if (runId !== undefined) query = query.where('product.run_id', '=', runId);
  const counts = new Map((await query.execute()).map((row) => [row.state, Number(row.n)]));
  const of = (state: string) => counts.get(state) ?? 0;
  const open = of('queued') + of('reading');
  const secondsLeft = open === 0 ? undefined : await estimateLeft(store, open, workers);
  return {
    photos: open + of('graded') + of('refused'),
    graded: of('graded'),
    refused: of('refused'),
    open,
    ...(secondsLeft === undefined ? {} : { secondsLeft }),
  };
}

async function estimateLeft(store: Store, open: number, workers: number): Promise<number | undefined> {
  const latest = await store.db
    .selectFrom('analysis')
    .select('took_ms')
    .orderBy('created_at', 'desc')
    .limit(8)
    .execute();
  if (latest.length === 0) return undefined;
  const meanMs = latest.reduce((sum, { took_ms }) => sum + took_ms, 0) / latest.length;
  return Math.ceil((meanMs / 1000) * Math.ceil(open / workers));
}
