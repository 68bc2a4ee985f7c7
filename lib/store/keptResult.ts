import 'server-only';
import type { Store } from './database';
import { nextInstant } from './instant';
import { keepIfPossible } from './storageFault';

/** Kept results among these keys. */
export async function keptUnder<Result>(store: Store, keys: readonly string[]): Promise<ReadonlyMap<string, Result>> {
  if (keys.length === 0) return new Map();
  const rows = await store.db.selectFrom('account').select(['key', 'result']).where('key', 'in', keys).execute();
  // written below by the same engine version from the same kind of inputs, so the shape is known
  return new Map(rows.map(({ key, result }) => [key, readResult(result) as Result]));
}

/**
 * The result kept under this key, or what it is worked out to be now, which is kept from then on. Keeping it is not waited for: another program's
 * lock on the database holds up nobody who looks.
 */
export async function keptOr<Result>(store: Store, key: string, workOut: () => Promise<Result>): Promise<Result> {
  const kept = (await keptUnder<Result>(store, [key])).get(key);
  if (kept !== undefined) return kept;
  const started = underWay.get(key) ?? start(store, key, workOut);
  return started as Promise<Result>;
}

/** By key: who asks for the same thing before it is kept gets the one answer. */
const underWay = new Map<string, Promise<unknown>>();
/** What is being kept. */
const keeping = new Set<Promise<void>>();

/** Until all that was worked out is kept: a store that closes waits for it. */
export async function keptInFull(): Promise<void> {
  await Promise.all(keeping);
}

function start<Result>(store: Store, key: string, workOut: () => Promise<Result>): Promise<Result> {
  const worked = workOut();
  underWay.set(key, worked);
  const kept = worked
    .then(
      (result) => keep(store, key, result),
      // whoever asked hears of it
      () => undefined,
    )
    .catch((error) => console.error('A result could not be kept:', error))
    .finally(() => {
      underWay.delete(key);
      keeping.delete(kept);
    });
  keeping.add(kept);
  return worked;
}

async function keep(store: Store, key: string, result: unknown): Promise<void> {
  const row = { key, result: writeResult(result), created_at: nextInstant() };
  await keepIfPossible(
    store.db
      .insertInto('account')
      .values(row)
      .onConflict((conflict) => conflict.column('key').doNothing())
      .execute(),
  );
}

/** Numbers that JSON has no words for. */
const NAMED = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN];

/** A result as text for the database: JSON, with numbers that are not finite by name, where JSON would make nothing of them. */
export function writeResult(result: unknown): string {
  return JSON.stringify(result, (_, value: unknown) =>
    typeof value === 'number' && !Number.isFinite(value) ? { number: String(value) } : value,
  );
}

/** The result that `writeResult` wrote; what of it is undefined is left out. */
export function readResult(text: string): unknown {
  return JSON.parse(text, (_, value: unknown) => {
    const isNamed = typeof value === 'object' && value !== null && 'number' in value && Object.keys(value).length === 1;
    return isNamed ? (NAMED.find((one) => String(one) === value.number) ?? value) : value;
  });
}
