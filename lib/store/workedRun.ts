import 'server-only';
import { createHash } from 'node:crypto';
import type { ExplainedRun } from '../balance/explainRun';
import type { AccountOrder, PhotoAnalysis, WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import { getAnalyses } from './analysisQueue';
import { checksWithPlaces, type KeptCheck, listChecks } from './checks';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { nextInstant } from './instant';
import { lessonsFor } from './lessons';
import { getMaterial } from './materials';
import { listSpreads, type Photo, type Spread } from './photos';
import { listProducts, type Product } from './products';
import { getRun, type RunLine } from './runs';
import { keepIfPossible } from './storageFault';

/** A photo with what it says, when it was read. */
export type ReadPhoto = Photo & { readonly analysis?: PhotoAnalysis & { readonly tookMs: number } };

/** A product with its spreads and photos. */
export interface ProductOnBoard extends Product {
  readonly spreads: readonly (Omit<Spread, 'photos'> & { readonly photos: readonly ReadPhoto[] })[];
  readonly checks: readonly KeptCheck[];
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
  const checks = await listChecks(
    store,
    products.map(({ id }) => id),
  );
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
      checks: checks.filter(({ productId }) => productId === product.id),
    })),
  };
}

function keyOf(state: Photo['state']): readonly string[] {
  return state.kind === 'graded' ? [state.analysisKey] : [];
}

/** Grades and balance of a run: kept ones when nothing changed since, otherwise worked out now. */
export async function workOutBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<WorkedRun> {
  const order = await orderOf(store, board);
  return keptOr(store, ['run', order], () => pool.workOutRun(order));
}

/** What every range of a run is made of: kept when nothing changed since, otherwise worked out now (some seconds). */
export async function explainBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<ExplainedRun> {
  const order = await orderOf(store, board);
  return keptOr(store, ['explain', order], () => pool.explainRun(order));
}

async function keptOr<Result>(store: Store, inputs: unknown, workOut: () => Promise<Result>): Promise<Result> {
  const key = createHash('sha256')
    .update(JSON.stringify([inputs, ENGINE_VERSION]))
    .digest('hex');
  const kept = await store.db.selectFrom('account').select('result').where('key', '=', key).executeTakeFirst();
  // written below by the same engine version from the same kind of inputs, so the shape is known
  if (kept !== undefined) return JSON.parse(kept.result) as Result;
  const started = underWay.get(key) ?? keepOnceDone(store, key, workOut).finally(() => underWay.delete(key));
  underWay.set(key, started);
  return started as Promise<Result>;
}

/** By key: two pages that ask for the same thing at the same time wait for one answer. */
const underWay = new Map<string, Promise<unknown>>();

async function keepOnceDone<Result>(store: Store, key: string, workOut: () => Promise<Result>): Promise<Result> {
  const result = await workOut();
  const row = { key, result: JSON.stringify(result), created_at: nextInstant() };
  await keepIfPossible(
    store.db
      .insertInto('account')
      .values(row)
      .onConflict((conflict) => conflict.column('key').doNothing())
      .execute(),
  );
  return result;
}

/** A run on record as the balance takes it. */
export async function orderOf(store: Store, { run, products }: RunBoard): Promise<AccountOrder> {
  const labels = labelsOf(products);
  return {
    runName: run.name,
    feed: run.feed,
    material: await getMaterial(store, run.material),
    lessons: (await lessonsFor(store, run)).map(({ photo: _, ...lesson }) => lesson),
    products: products.map(({ id, name, role, weighing, spreads, checks }) => {
      const read = spreads
        .map(({ id: spreadId, photos }) => ({
          spreadId,
          readings: photos.flatMap(({ analysis }) => (analysis === undefined ? [] : [analysis.reading])),
        }))
        .filter(({ readings }) => readings.length > 0);
      return {
        label: labels.get(id) ?? id,
        name,
        role,
        weighing: weighing ?? null,
        spreads: read.map(({ readings }) => readings),
        checks: checksWithPlaces(
          checks,
          read.map(({ spreadId }) => spreadId),
        ),
      };
    }),
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
