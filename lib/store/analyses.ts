import 'server-only';
import type { PhotoAnalysis } from './analysis';
import type { Store } from './database';

/** The name that the class map of an analysis is kept under, a grey PNG of class codes. */
export function classMapName(key: string): string {
  return `maps/${key}.png`;
}

/** What a photo said, and how long it took to read it. */
export type KeptAnalysis = PhotoAnalysis & { readonly tookMs: number };

/** The kept analyses with these keys. */
export async function getAnalyses(store: Store, keys: readonly string[]): Promise<ReadonlyMap<string, KeptAnalysis>> {
  const there = await analysesThere(store, keys);
  const held = heldOf(store);
  const missing = [...there].filter((key) => !held.has(key));
  const read = missing.length === 0 ? new Map<string, KeptAnalysis>() : await readAnalyses(store, missing);
  const found = new Map([...there].flatMap((key) => entryOf(key, held.get(key) ?? read.get(key))));
  hold(held, found);
  return found;
}

/** Which of these analyses are on record. */
export async function analysesThere(store: Store, keys: readonly string[]): Promise<ReadonlySet<string>> {
  if (keys.length === 0) return new Set();
  const rows = await store.db
    .selectFrom('analysis')
    .select('key')
    .where('key', 'in', [...new Set(keys)])
    .execute();
  return new Set(rows.map(({ key }) => key));
}

async function readAnalyses(store: Store, keys: readonly string[]): Promise<ReadonlyMap<string, KeptAnalysis>> {
  const rows = await store.db.selectFrom('analysis').selectAll().where('key', 'in', keys).execute();
  // written by readWaiting of the same engine version, so the shape is known
  return new Map(rows.map((row) => [row.key, { ...(JSON.parse(row.result) as PhotoAnalysis), tookMs: row.took_ms }]));
}

function entryOf(key: string, analysis: KeptAnalysis | undefined): readonly (readonly [string, KeptAnalysis])[] {
  return analysis === undefined ? [] : [[key, analysis]];
}

/** Analyses held in memory, at most: a run's pages ask for all of its photos again after each photo, and to make objects of 60 takes 12 ms. */
const MOST_HELD = 200;

/** By the database they are from: what one yard has is no other's. An analysis never changes under its key. */
const heldIn = new WeakMap<Store['db'], Map<string, KeptAnalysis>>();

function heldOf({ db }: Store): Map<string, KeptAnalysis> {
  const held = heldIn.get(db) ?? new Map<string, KeptAnalysis>();
  heldIn.set(db, held);
  return held;
}

/** What was asked for last goes last. */
function hold(held: Map<string, KeptAnalysis>, asked: ReadonlyMap<string, KeptAnalysis>): void {
  for (const [key, analysis] of asked) {
    held.delete(key);
    held.set(key, analysis);
  }
  for (const key of held.keys()) {
    if (held.size <= MOST_HELD) return;
    held.delete(key);
  }
}
