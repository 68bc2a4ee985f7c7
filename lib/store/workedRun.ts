import 'server-only';
import { createHash } from 'node:crypto';
import type { AccountOrder, PhotoAnalysis, WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import { getAnalyses } from './analysisQueue';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { getMaterial } from './materials';
import { listSpreads, type Photo, type Spread } from './photos';
import { listProducts, type Product } from './products';
import { getRun, type RunLine } from './runs';

/** A photo with what it says, when it was read. */
export type ReadPhoto = Photo & { readonly analysis?: PhotoAnalysis & { readonly tookMs: number } };

/** A product with its spreads and photos. */
export interface ProductOnBoard extends Product {
  readonly spreads: readonly (Omit<Spread, 'photos'> & { readonly photos: readonly ReadPhoto[] })[];
}

/** Everything on record for one run. */
export interface RunBoard {
  readonly run: RunLine;
  readonly products: readonly ProductOnBoard[];
}

/**
 * Everything on record for one run: its products, weights, photos and what each photo says.
 *
 * @throws TrayError `not-found`
 */
export async function getBoard(store: Store, runId: string): Promise<RunBoard> {
  const run = await getRun(store, runId);
  const products = await listProducts(store, runId);
  const spreads = await Promise.all(products.map((product) => listSpreads(store, product.id)));
  const keys = spreads.flat(2).flatMap(({ photos }) => photos.flatMap(({ state }) => keyOf(state)));
  const analyses = await getAnalyses(store, keys);
  const read = (photo: Photo): ReadPhoto => {
    const analysis = photo.state.kind === 'graded' ? analyses.get(photo.state.analysisKey) : undefined;
    return analysis === undefined ? photo : { ...photo, analysis };
  };
  return {
    run,
    products: products.map((product, p) => ({
      ...product,
      spreads: (spreads[p] ?? []).map((spread) => ({ ...spread, photos: spread.photos.map(read) })),
    })),
  };
}

function keyOf(state: Photo['state']): readonly string[] {
  return state.kind === 'graded' ? [state.analysisKey] : [];
}

/** Grades and balance of a run: kept ones when nothing changed since, otherwise worked out now. */
export async function workOutBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<WorkedRun> {
  const order = await orderOf(store, board);
  const key = createHash('sha256')
    .update(JSON.stringify([order, ENGINE_VERSION]))
    .digest('hex');
  const kept = await store.db.selectFrom('account').select('result').where('key', '=', key).executeTakeFirst();
  // written below by the same engine version, so the shape is known
  if (kept !== undefined) return JSON.parse(kept.result) as WorkedRun;
  const worked = await pool.workOutRun(order);
  await store.db
    .insertInto('account')
    .values({ key, result: JSON.stringify(worked), created_at: new Date().toISOString() })
    .onConflict((conflict) => conflict.column('key').doNothing())
    .execute();
  return worked;
}

/** A run on record as the balance takes it. */
export async function orderOf(store: Store, { run, products }: RunBoard): Promise<AccountOrder> {
  const labels = labelsOf(products);
  return {
    runName: run.name,
    feed: run.feed,
    material: await getMaterial(store, run.material),
    products: products.map(({ id, name, role, weighing, spreads }) => ({
      label: labels.get(id) ?? id,
      name,
      role,
      weighing: weighing ?? null,
      spreads: spreads
        .map(({ photos }) => photos.flatMap(({ analysis }) => (analysis === undefined ? [] : [analysis.reading])))
        .filter((readings) => readings.length > 0),
    })),
  };
}

/** What a run's products are called in its account: their names, a number added where two share one. By product id. */
export function labelsOf(products: readonly Product[]): ReadonlyMap<string, string> {
  const seen = new Map<string, number>();
  return new Map(
    products.map(({ id, name }) => {
      const times = (seen.get(name) ?? 0) + 1;
      seen.set(name, times);
      return [id, times === 1 ? name : `${name} (${times})`];
    }),
  );
}
