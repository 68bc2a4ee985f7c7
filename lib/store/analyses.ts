import 'server-only';
import type { PhotoAnalysis } from './analysis';
import type { Store } from './database';

/** The name that the class map of an analysis is kept under, a grey PNG of class codes. */
export function classMapName(key: string): string {
  return `maps/${key}.png`;
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
  // written by readWaiting of the same engine version, so the shape is known
  return new Map(rows.map((row) => [row.key, { ...(JSON.parse(row.result) as PhotoAnalysis), tookMs: row.took_ms }]));
}
