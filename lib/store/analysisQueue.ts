import 'server-only';
import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import path from 'node:path';
import { sql } from 'kysely';
import { TrayError } from '../errors/TrayError';
import { classMapPng } from '../report/classMapFile';
import type { AnalysedPhoto, AnalysisOptions, PhotoAnalysis } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { readingChoiceSchema } from './entries';
import { holdWaiting, releaseStopped } from './heldPhotos';
import { nextInstant } from './instant';
import { getMaterial } from './materials';
import { readPhoto, writeWhole } from './photoFiles';
import { QUICK_RUN_ID } from './quickIds';
import { getMatPrint } from './settings';
import { isPhotoLost, isStorageTrouble, keepIfPossible } from './storageFault';

/** Photos waiting to be read, worked off in the background; what waits is in the database, so a restart goes on with it. */
export interface AnalysisQueue {
  /** Look for waiting photos and start on them; returns at once. */
  wake(): void;
  /** Leave off reading the photos that wait or are under way, of one run or of all; they are kept and held. */
  stop(runId?: string): Promise<void>;
  /** Read what was left off. */
  resume(runId?: string): Promise<void>;
  /** Resolves when nothing waits or runs. */
  settled(): Promise<void>;
}

/** Where the class map of an analysis lies, a grey PNG of class codes for the field's box. */
export function classMapPath(directory: string, key: string): string {
  return path.join(directory, 'maps', `${key}.png`);
}

/** Start the queue. Photos that a stop caught half-read wait again. */
export async function startAnalysisQueue(
  store: Store,
  pool: Pick<AnalysisPool, 'size' | 'analysePhoto'>,
): Promise<AnalysisQueue> {
  await keepIfPossible(store.db.updateTable('photo').set({ state: 'queued' }).where('state', '=', 'reading').execute());
  let running = 0;
  let settlers: (() => void)[] = [];
  const underWay = new Map<string, AbortController>();
  /** Photos whose outcome could not be written (a full disk, a lock): still `reading` in the database, though nobody reads. */
  const stranded = new Set<string>();

  async function work(): Promise<void> {
    await putBack(store, stranded);
    for (let id = await takeNext(store); id !== undefined; id = await takeNext(store)) await readTaken(id);
  }

  async function readTaken(id: string): Promise<void> {
    const stop = new AbortController();
    underWay.set(id, stop);
    store.changes.announce();
    try {
      await readOne(store, pool, id, stop.signal);
    } catch (error) {
      stranded.add(id);
      throw error;
    } finally {
      underWay.delete(id);
      store.changes.announce();
    }
  }

  function wake(): void {
    while (running < pool.size) {
      running++;
      work()
        .catch((error) => console.error('The queue of photos stopped:', error))
        .finally(() => {
          running--;
          if (running > 0) return;
          for (const settle of settlers) settle();
          settlers = [];
        });
    }
  }

  return {
    wake,
    stop: async (runId) => {
      for (const id of await holdWaiting(store, runId)) underWay.get(id)?.abort();
      store.changes.announce();
    },
    resume: async (runId) => {
      await releaseStopped(store, runId);
      wake();
      store.changes.announce();
    },
    settled: () => (running === 0 ? Promise.resolve() : new Promise((resolve) => settlers.push(resolve))),
  };
}

async function putBack(store: Store, stranded: Set<string>): Promise<void> {
  if (stranded.size === 0) return;
  const ids = [...stranded];
  await store.db
    .updateTable('photo')
    .set({ state: 'queued' })
    .where('state', '=', 'reading')
    .where('id', 'in', ids)
    .execute();
  for (const id of ids) stranded.delete(id);
}

/** Take the photo that has waited longest, a quick check before others: its person stands waiting. No two workers can take the same one. */
async function takeNext(store: Store): Promise<string | undefined> {
  const row = await store.db
    .updateTable('photo')
    .set({ state: 'reading' })
    .where('id', '=', (eb) =>
      eb
        .selectFrom('photo')
        .select('id')
        .where('state', '=', 'queued')
        .where('held', 'is', null)
        .where('deleted_at', 'is', null)
        .orderBy(isQuick, 'desc')
        .orderBy('created_at')
        .orderBy('id')
        .limit(1),
    )
    .returning('id')
    .executeTakeFirst();
  return row?.id;
}

async function readOne(
  store: Store,
  pool: Pick<AnalysisPool, 'analysePhoto'>,
  id: string,
  stop: AbortSignal,
): Promise<void> {
  // a photo that was put back into the queue meanwhile is no longer `reading` and keeps its place there
  const outcome = store.db.updateTable('photo').where('id', '=', id).where('state', '=', 'reading');
  try {
    const { sha256, options } = await orderFor(store, id);
    const key = analysisKey(sha256, options);
    await analyseUnlessKept(store, pool, sha256, options, key, stop);
    const now = await orderFor(store, id);
    const stillAsked = analysisKey(now.sha256, now.options) === key;
    const done = { state: 'graded', analysis_key: key, refused_message: null, refused_hint: null };
    await outcome.set(stillAsked ? done : { state: 'queued' }).execute();
  } catch (error) {
    const known = error instanceof TrayError;
    // who stopped it has said what becomes of the photo
    if (known && error.code === 'stopped') return;
    if (!known) console.error(`Photo ${id} could not be read:`, error);
    await outcome
      .set({
        state: 'refused',
        refused_message: known ? error.message : 'The program stumbled over this photo.',
        refused_hint: known ? hintFor(error) : 'Read it again. If it stays so, take the photo again.',
      })
      .execute();
  }
}

/** Trouble with the disk while a photo is read leaves the photo itself as it was; only a lost original has to be sent again. */
function hintFor(error: TrayError): string {
  if (!isStorageTrouble(error) || isPhotoLost(error)) return error.hint;
  return 'The photo itself is kept. Once that is put right, read it again.';
}

/** 1 for the photo of a quick check. */
const isQuick = sql`exists (select 1 from spread join product on product.id = spread.product_id
  where spread.id = photo.spread_id and product.run_id = ${QUICK_RUN_ID})`;

/** The photo's bytes by name, and how it is to be read as things stand now. */
async function orderFor(store: Store, id: string): Promise<{ sha256: string; options: AnalysisOptions }> {
  const { sha256, choice, material, original_name } = await store.db
    .selectFrom('photo')
    .innerJoin('spread', 'spread.id', 'photo.spread_id')
    .innerJoin('product', 'product.id', 'spread.product_id')
    .innerJoin('run', 'run.id', 'product.run_id')
    .select(['photo.sha256', 'photo.choice', 'photo.original_name', 'run.material'])
    .where('photo.id', '=', id)
    .executeTakeFirstOrThrow();
  return { sha256, options: await optionsOf(store, choice, material, original_name) };
}

async function optionsOf(
  store: Store,
  choiceText: string,
  runMaterial: string,
  photoName: string,
): Promise<AnalysisOptions> {
  const choice = readingChoiceSchema.parse(JSON.parse(choiceText));
  const print = await getMatPrint(store);
  return {
    choice,
    material: await getMaterial(store, choice.material ?? runMaterial),
    matScale: print === undefined ? 1 : print.checkLineMm / 100,
    photoName,
  };
}

/** Same photo, same options, same engine: same key. */
export function analysisKey(sha256: string, options: AnalysisOptions): string {
  return createHash('sha256')
    .update(JSON.stringify([sha256, options, ENGINE_VERSION]))
    .digest('hex');
}

async function analyseUnlessKept(
  store: Store,
  pool: Pick<AnalysisPool, 'analysePhoto'>,
  sha256: string,
  options: AnalysisOptions,
  key: string,
  stop: AbortSignal,
): Promise<void> {
  const kept = await store.db.selectFrom('analysis').select('key').where('key', '=', key).executeTakeFirst();
  if (kept !== undefined && existsSync(classMapPath(store.directory, key))) return;
  const bytes = await readPhoto(store.directory, sha256);
  if (stop.aborted) throw new TrayError('stopped', 'The reading was stopped.', 'Read it when you are ready.');
  const started = performance.now();
  const analysed = await pool.analysePhoto(bytes, options, stop);
  const tookMs = performance.now() - started;
  await keepClassMap(store, key, analysed);
  await store.db
    .insertInto('analysis')
    .values({
      key,
      result: JSON.stringify(analysed.analysis),
      engine_version: ENGINE_VERSION,
      took_ms: tookMs,
      created_at: nextInstant(),
    })
    .onConflict((conflict) => conflict.column('key').doNothing())
    .execute();
}

async function keepClassMap(store: Store, key: string, { classMap, analysis }: AnalysedPhoto): Promise<void> {
  const png = await classMapPng(classMap, { width: analysis.widthPx, height: analysis.heightPx });
  await writeWhole(store.directory, classMapPath(store.directory, key), png);
}

/** The kept analyses with these keys. */
export async function getAnalyses(
  store: Store,
  keys: readonly string[],
): Promise<ReadonlyMap<string, PhotoAnalysis & { readonly tookMs: number }>> {
  if (keys.length === 0) return new Map();
  const rows = await store.db
    .selectFrom('analysis')
    .selectAll()
    .where('key', 'in', [...keys])
    .execute();
  // written by analyseUnlessKept of the same engine version, so the shape is known
  return new Map(rows.map((row) => [row.key, { ...(JSON.parse(row.result) as PhotoAnalysis), tookMs: row.took_ms }]));
}
