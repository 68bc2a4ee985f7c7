import 'server-only';
import type { Store } from './database';

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
		.where('id', 'in', idsOf(store, runId))
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
		.where('id', 'in', idsOf(store, runId))
		.execute();
}

function idsOf(store: Store, runId: string | undefined) {
	const all = store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.innerJoin('product', 'product.id', 'spread.product_id')
		.select('photo.id');
	return runId === undefined ? all : all.where('product.run_id', '=', runId);
}
