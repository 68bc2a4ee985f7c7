import 'server-only';
import { randomUUID } from 'node:crypto';
import { type Kysely, sql, type Updateable } from 'kysely';
import type { Store } from './database';
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

/** What came of reading a photo, as its row says it. */
export type Outcome = Updateable<Pick<Tables['photo'], 'state' | 'analysis_key' | 'refused_message' | 'refused_hint'>>;

/** Photos that wait, and who reads which: those of one data directory, or those of all yards of a database (lib/store/sharedJobs.ts). */
export interface PhotoJobs {
	/** Put back what a program that is gone left half-read. */
	start(): Promise<void>;
	/** Take the photo that has waited longest, a quick check before others: its person stands waiting. No two programs take the same one. */
	take(): Promise<PhotoJob | undefined>;
	/** This program is done with a photo. What came of it counts only while the program has it; nothing, where others have said what becomes of it. */
	finish(job: PhotoJob, outcome?: Outcome): Promise<void>;
	/** Put photos back into the line, where their outcome could not be written. */
	putBack(claims: readonly string[]): Promise<void>;
	/** Say that photos are still being read. @returns claims that hold no longer: the photo was stopped, or taken by another */
	holdOn(claims: readonly string[]): Promise<readonly string[]>;
}

/** How long a program is thought to live after its last sign, s; a third of it passes between signs. Chosen by eye. */
export const LEASE_S = 30;

/** Time between signs of life, ms. */
export const SIGN_MS = (LEASE_S * 1000) / 3;

/**
 * The photos of one data directory, which one program works on at a time: what was being read when it starts, nobody reads. The
 * photo's own row is the job, so there is no second list that could say something else.
 */
export function jobsOf(store: Store): PhotoJobs {
	return {
		start: async () => {
			const query = store.db.updateTable('photo').where('state', '=', 'reading');
			await keepIfPossible(query.set({ state: 'queued', claimed_by: null }).execute());
		},
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
		finish: async ({ id, claim }, outcome) => {
			if (outcome === undefined) return;
			const query = store.db.updateTable('photo').set(outcome).where('id', '=', id);
			await query.where('state', '=', 'reading').where('claimed_by', '=', claim).execute();
		},
		putBack: async (claims) => {
			const query = store.db
				.updateTable('photo')
				.set({ state: 'queued', claimed_by: null })
				.where('state', '=', 'reading');
			await query.where('claimed_by', 'in', [...claims]).execute();
		},
		holdOn: async () => [],
	};
}

const isQuick = sql`exists (select 1 from spread join product on product.id = spread.product_id
  where spread.id = photo.spread_id and product.run_id = ${QUICK_RUN_ID})`;

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
