import 'server-only';
import { createHash } from 'node:crypto';
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
import { readPhoto } from './photoFiles';
import { jobsOf, type PhotoJob, type PhotoJobs } from './photoJobs';
import { getMatPrint } from './settings';
import { isAway, isPhotoLost, isStorageTrouble } from './storageFault';

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

/** The name that the class map of an analysis is kept under, a grey PNG of class codes. */
export function classMapName(key: string): string {
  return `maps/${key}.png`;
}

type ReadingPool = Pick<AnalysisPool, 'size' | 'analysePhoto'>;

/** Start the queue of one data directory. Photos that a stop caught half-read wait again. */
export async function startAnalysisQueue(store: Store, pool: ReadingPool): Promise<AnalysisQueue> {
  const reader = await startReader(jobsOf(store), pool, (trouble) => {
    if (store.reading === undefined || store.reading.haltedBy === trouble) return;
    store.reading.haltedBy = trouble;
    store.changes.announce();
  });
  return {
    ...queueFor(store, reader.wake),
    stop: async (runId) => {
      reader.abort(await holdWaiting(store, runId));
      store.changes.announce();
    },
    settled: reader.settled,
  };
}

/** The queue of a yard whose photos other programs read: they hear of what waits and of what is to be left off. */
export function queueFor(store: Store, wake = store.changes.announce): AnalysisQueue {
  return {
    wake,
    stop: async (runId) => {
      await holdWaiting(store, runId);
      store.changes.announce();
    },
    resume: async (runId) => {
      await releaseStopped(store, runId);
      wake();
      store.changes.announce();
    },
    settled: async () => {},
  };
}

/** What reads photos one after the other, as many at a time as there are workers. */
export interface Reader {
  /** Look for waiting photos and start on them; returns at once. */
  wake(): void;
  /** Leave off reading these. */
  abort(ids: readonly string[]): void;
  /** Show signs of life, and leave off what is this program's no longer. */
  holdOn(): Promise<void>;
  /** Take no more, leave off what is under way and put it back into the line. */
  leave(): Promise<void>;
  /** Resolves when nothing waits or runs. */
  settled(): Promise<void>;
}

/** Disk or database in trouble are looked at again after so long, ms: nobody else may give word once it is over. */
export const TRY_AGAIN_MS = 10_000;

/**
 * Start reading the photos that wait.
 *
 * @param halted - hears what keeps photos from being read, in plain words, and when nothing does any more
 */
export async function startReader(
  jobs: PhotoJobs,
  pool: ReadingPool,
  halted: (trouble: string | undefined) => void = () => {},
): Promise<Reader> {
  await jobs.start();
  let [running, leaving] = [0, false];
  let settlers: (() => void)[] = [];
  let tryingAgain: ReturnType<typeof setTimeout> | undefined;
  /** How often there was word of waiting photos. */
  let woken = 0;
  /** By claim. */
  const underWay = new Map<string, { readonly id: string; readonly stop: AbortController }>();
  /** Claims whose outcome could not be written (a full disk, a lock): still `reading` in the database, though nobody reads. */
  const stranded = new Set<string>();

  async function work(): Promise<void> {
    const claims = [...stranded];
    if (claims.length > 0) await jobs.putBack(claims);
    for (const claim of claims) stranded.delete(claim);
    while (!leaving) {
      const wokenBefore = woken;
      const job = await jobs.take();
      if (job !== undefined && leaving) return jobs.putBack([job.claim]);
      if (job !== undefined) {
        await readTaken(job);
        over();
      }
      // what came while this looked may have been missed
      else if (woken === wokenBefore) return over();
    }
  }

  async function readTaken(job: PhotoJob): Promise<void> {
    const stop = new AbortController();
    underWay.set(job.claim, { id: job.id, stop });
    job.store.changes.announce();
    try {
      await readOne(jobs, job, pool, stop.signal);
    } catch (error) {
      stranded.add(job.claim);
      throw error;
    } finally {
      underWay.delete(job.claim);
      job.store.changes.announce();
    }
  }

  function wake(): void {
    woken++;
    while (running < pool.size && !leaving) {
      running++;
      work()
        .catch(breakOff)
        .finally(() => {
          running--;
          if (running > 0) return;
          for (const settle of settlers) settle();
          settlers = [];
        });
    }
  }

  function over(): void {
    clearTimeout(tryingAgain);
    tryingAgain = undefined;
    halted(undefined);
  }

  function breakOff(error: unknown): void {
    // trouble that lasts is met at every try
    if (!isStorageTrouble(error) || tryingAgain === undefined) console.error('The queue of photos stopped:', error);
    if (!isStorageTrouble(error) || leaving) return;
    halted(error.message);
    clearTimeout(tryingAgain);
    tryingAgain = setTimeout(wake, TRY_AGAIN_MS).unref();
  }

  const settled = () => (running === 0 ? Promise.resolve() : new Promise<void>((resolve) => settlers.push(resolve)));
  return {
    wake,
    abort: (ids) => {
      for (const { id, stop } of underWay.values()) if (ids.includes(id)) stop.abort();
    },
    holdOn: async () => {
      for (const claim of await jobs.holdOn([...underWay.keys()])) underWay.get(claim)?.stop.abort();
    },
    leave: async () => {
      leaving = true;
      clearTimeout(tryingAgain);
      const left = [...underWay];
      if (left.length > 0) await jobs.putBack(left.map(([claim]) => claim));
      for (const [, { stop }] of left) stop.abort();
      await settled();
    },
    settled,
  };
}

async function readOne(
  jobs: PhotoJobs,
  job: PhotoJob,
  pool: Pick<AnalysisPool, 'analysePhoto'>,
  stop: AbortSignal,
): Promise<void> {
  const { id, store } = job;
  try {
    const order = await orderFor(store, id);
    if (order === undefined) return jobs.finish(job);
    const { sha256, options } = order;
    const key = analysisKey(sha256, options);
    await analyseUnlessKept(store, pool, sha256, options, key, stop);
    const now = await orderFor(store, id);
    if (now === undefined) return jobs.finish(job);
    const stillAsked = analysisKey(now.sha256, now.options) === key;
    const done = { state: 'graded', analysis_key: key, refused_message: null, refused_hint: null };
    // a photo that was put back into the queue meanwhile, or taken by another program, is no longer ours and keeps its place there
    await jobs.finish(job, stillAsked ? done : { state: 'queued' });
  } catch (error) {
    const known = error instanceof TrayError;
    // who stopped it has said what becomes of the photo
    if (known && error.code === 'stopped') return jobs.finish(job);
    // nothing is wrong with the photo: once the server is back it waits for its turn again
    if (isAway(error)) throw error;
    if (!known) console.error(`Photo ${id} could not be read:`, error);
    await jobs.finish(job, {
      state: 'refused',
      refused_message: known ? error.message : 'The program stumbled over this photo.',
      refused_hint: known ? hintFor(error) : 'Read it again. If it stays so, take the photo again.',
    });
  }
}

/** Trouble with the disk while a photo is read leaves the photo itself as it was; only a lost original has to be sent again. */
function hintFor(error: TrayError): string {
  if (!isStorageTrouble(error) || isPhotoLost(error)) return error.hint;
  return 'The photo itself is kept. Once that is put right, read it again.';
}

/** The photo's bytes by name, and how it is to be read as things stand now; undefined once it is gone, as with the demonstration. */
async function orderFor(store: Store, id: string): Promise<{ sha256: string; options: AnalysisOptions } | undefined> {
  const found = await store.db
    .selectFrom('photo')
    .innerJoin('spread', 'spread.id', 'photo.spread_id')
    .innerJoin('product', 'product.id', 'spread.product_id')
    .innerJoin('run', 'run.id', 'product.run_id')
    .select(['photo.sha256', 'photo.choice', 'run.material'])
    .where('photo.id', '=', id)
    .executeTakeFirst();
  if (found === undefined) return undefined;
  const { sha256, choice, material } = found;
  return { sha256, options: await optionsOf(store, choice, material) };
}

async function optionsOf(store: Store, choiceText: string, runMaterial: string): Promise<AnalysisOptions> {
  const choice = readingChoiceSchema.parse(JSON.parse(choiceText));
  const print = await getMatPrint(store);
  return {
    choice,
    material: await getMaterial(store, choice.material ?? runMaterial),
    matScale: print === undefined ? 1 : print.checkLineMm / 100,
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
  if (kept !== undefined && (await store.files.sizeOf(classMapName(key))) !== undefined) return;
  const bytes = await readPhoto(store.files, sha256);
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
  await store.files.write(classMapName(key), png);
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
