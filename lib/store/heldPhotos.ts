import 'server-only';
import type { SelectQueryBuilder } from 'kysely';
import type { Store } from './database';
import { isPostgres } from './isPostgres';
import type { Tables } from './schema';

/**
 * Hold the photos that wait to be read or are being read, of one run or of all.
 *
 * @returns the ids of those held now
 */
export async function holdWaiting(store: Store, runId?: string): Promise<readonly string[]> {
	const rows = await store.db
		.updateTable('photo')
		.set({ state: 'queued', held: 'stopped' })
		.where('state', 'in', ['queued', 'reading'])
		.where('held', 'is', null)
		.where('deleted_at', 'is', null)
		.where('id', 'in', inOrder(store.db, idsOf(store, runId)))
		.returning('id')
		.execute();
	return rows.map(({ id }) => id);
}

/** Let the photos whose reading was stopped wait for their turn again. */
export async function releaseStopped(store: Store, runId?: string): Promise<void> {
	await store.db
		.updateTable('photo')
		.set({ held: null })
		.where('held', '=', 'stopped')
		.where('id', 'in', inOrder(store.db, idsOf(store, runId)))
		.execute();
}

/**
 * Photos held in the order of their ids before they are changed: of two who change several at once one waits for the other, and none in a circle.
 *
 * @param ids - a query of `photo.id`
 */
export function inOrder<Query extends SelectQueryBuilder<Tables, 'photo', { id: string }>>(
	db: Store['db'],
	ids: Query,
) {
	// a statement of SQLite holds the whole database
	return isPostgres(db) ? ids.orderBy('photo.id').forNoKeyUpdate('photo') : ids;
}

function idsOf(store: Store, runId: string | undefined) {
	const all = store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.innerJoin('product', 'product.id', 'spread.product_id')
		.select('photo.id');
	return runId === undefined ? all : all.where('product.run_id', '=', runId);
}
