import 'server-only';
import { randomUUID } from 'node:crypto';
import { type ExpressionBuilder, type Kysely, sql } from 'kysely';
import type { Store } from './database';
import type { YardDatabase } from './postgres';
import { QUICK_RUN_ID } from './quickIds';
import type { Tables } from './schema';
import { keepIfPossible } from './storageFault';

/** A photo that this program has taken to read, and the store of its yard. */
export interface PhotoJob {
  readonly id: string;
  readonly store: Store;
  /** Stands in the photo's row while this program has it; made afresh each time a photo is taken. */
  readonly claim: string;
}

/**
 * Photos that wait, and who reads which. The photo's own row is the job: that it waits, who reads it and what came of it change in
 * one statement each, so there is no second list that could say something else.
 */
export interface PhotoJobs {
  /** Put back what a program that is gone left half-read. */
  start(): Promise<void>;
  /** Take the photo that has waited longest, a quick check before others: its person stands waiting. No two programs take the same one. */
  take(): Promise<PhotoJob | undefined>;
  /** The change of a photo's row that holds only while this program has it. */
  outcome(job: PhotoJob): ReturnType<typeof outcomeOf>;
  /** Put photos back into the line, where their outcome could not be written. */
  putBack(claims: readonly string[]): Promise<void>;
  /** Say that photos are still being read. @returns claims that hold no longer: the photo was stopped, or taken by another */
  holdOn(claims: readonly string[]): Promise<readonly string[]>;
}

/** How long a program is thought to live after its last sign, s; a third of it passes between signs. Chosen by eye. */
const LEASE_S = 30;

/** Time between signs of life, ms. */
export const SIGN_MS = (LEASE_S * 1000) / 3;

function outcomeOf({ id, store, claim }: PhotoJob) {
  return store.db
    .updateTable('photo')
    .where('id', '=', id)
    .where('state', '=', 'reading')
    .where('claimed_by', '=', claim);
}

async function putBackIn(db: Kysely<Tables>, claims: readonly string[]): Promise<void> {
  await db
    .updateTable('photo')
    .set({ state: 'queued', claimed_by: null })
    .where('state', '=', 'reading')
    .where('claimed_by', 'in', [...claims])
    .execute();
}

/** The photos of one data directory, which one program works on at a time: what was being read when it starts, nobody reads. */
export function jobsOf(store: Store): PhotoJobs {
  return {
    start: () =>
      keepIfPossible(
        store.db
          .updateTable('photo')
          .where('state', '=', 'reading')
          .set({ state: 'queued', claimed_by: null })
          .execute(),
      ),
    take: async () => {
      const claim = randomUUID();
      const row = await store.db
        .updateTable('photo')
        .set({ state: 'reading', claimed_by: claim })
        .where('id', '=', nextOf(store.db))
        .returning('id')
        .executeTakeFirst();
      return row === undefined ? undefined : { id: row.id, store, claim };
    },
    outcome: outcomeOf,
    putBack: (claims) => putBackIn(store.db, claims),
    holdOn: async () => [],
  };
}

/** Ids are a yard's own, and come from its phones: two yards may have the same. */
const isQuick = sql`exists (select 1 from spread join product on product.id = spread.product_id and product.yard_id = spread.yard_id
  where spread.id = photo.spread_id and spread.yard_id = photo.yard_id and product.run_id = ${QUICK_RUN_ID})`;

function nextOf(db: Kysely<Tables>) {
  return db
    .selectFrom('photo')
    .select('id')
    .where('state', '=', 'queued')
    .where('held', 'is', null)
    .where('deleted_at', 'is', null)
    .orderBy(isQuick, 'desc')
    .orderBy('created_at')
    .orderBy('id')
    .limit(1);
}

const YARD = sql<string>`yard_id`.as('yard');

/** The database's own clock, so that programs need not agree on the time. */
const NOW = sql<string>`to_char(clock_timestamp() at time zone 'utc', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
const LEASE_END = sql<string>`to_char(clock_timestamp() at time zone 'utc' + ${sql.lit(LEASE_S)} * interval '1 second', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;

/** A photo that this many programs in a row did not survive is not given to another. Chosen by eye. */
const MOST_CLAIMS = 3;

/** Whoever read the photo shows no more signs of life. */
function isLapsed(eb: ExpressionBuilder<Tables, 'photo'>) {
  return eb.and([eb('state', '=', 'reading'), eb('claimed_until', '<', NOW)]);
}

/** One photo that takes a program's memory away must not end one worker after the other. */
async function refuseDeadly(db: Kysely<Tables>): Promise<void> {
  await db
    .updateTable('photo')
    .set({
      state: 'refused',
      claimed_by: null,
      refused_message: 'The program broke off whenever it read this photo.',
      refused_hint: 'The photo itself is kept. Take it again, with the camera set to fewer pixels.',
    })
    .where(isLapsed)
    .where('claims', '>=', MOST_CLAIMS)
    .execute();
}

/**
 * The photos of all yards of a database, worked on by any number of programs.
 *
 * A photo is locked while it is taken and passed over by others (`for update skip locked`). A program shows signs of life while it
 * reads; when they stay away, another takes its photo, and what the first may still write counts no more.
 */
export function sharedJobs({ everyYard, storeOf }: YardDatabase): PhotoJobs {
  return {
    start: () => refuseDeadly(everyYard),
    take: async () => {
      const claim = randomUUID();
      const free = everyYard
        .selectFrom('photo')
        .select([YARD, 'id'])
        .where('held', 'is', null)
        .where('deleted_at', 'is', null)
        .where((eb) => eb.or([eb('state', '=', 'queued'), eb.and([isLapsed(eb), eb('claims', '<', MOST_CLAIMS)])]))
        .orderBy(isQuick, 'desc')
        .orderBy('created_at')
        .orderBy('id')
        .limit(1)
        .forUpdate()
        .skipLocked();
      const row = await everyYard
        .updateTable('photo')
        .set((eb) => ({
          state: 'reading',
          claimed_by: claim,
          claimed_until: LEASE_END,
          claims: eb
            .case()
            .when('state', '=', 'queued')
            .then(1)
            .else(eb('claims', '+', 1))
            .end(),
        }))
        .where(sql<boolean>`(yard_id, id) = ${free}`)
        .returning([YARD, 'id'])
        .executeTakeFirst();
      return row === undefined ? undefined : { id: row.id, store: storeOf(row.yard), claim };
    },
    outcome: outcomeOf,
    putBack: (claims) => putBackIn(everyYard, claims),
    holdOn: async (claims) => {
      await refuseDeadly(everyYard);
      if (claims.length === 0) return [];
      const held = await everyYard
        .updateTable('photo')
        .set({ claimed_until: LEASE_END })
        .where('state', '=', 'reading')
        .where('claimed_by', 'in', [...claims])
        .returning('claimed_by')
        .execute();
      return claims.filter((claim) => !held.some(({ claimed_by }) => claimed_by === claim));
    },
  };
}
