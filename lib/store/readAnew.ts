import 'server-only';
import { sql } from 'kysely';
import type { Store } from './database';
import { inOrder } from './heldPhotos';

/** Read all photos of a run again, after its material changed. */
export async function requeueRun(store: Store, runId: string): Promise<void> {
	await requeue(store, (run) => run.where('product.run_id', '=', runId));
}

/** Read all photos again that are read with this material, after it changed. */
export async function requeueMaterial(store: Store, name: string): Promise<void> {
	await requeue(store, (run) => run.where((eb) => eb.or([eb('run.material', '=', name), namesMaterial(name)])));
}

/** Whether a photo is to be read with this material of its own. Both databases know `like`; each has its own way of looking into JSON. */
export function namesMaterial(name: string) {
	const quoted = JSON.stringify(name).replaceAll(/[%_!]/g, '!$&');
	return sql<boolean>`photo.choice like ${`%"material":${quoted}%`} escape '!'`;
}

async function requeue(store: Store, narrow: (query: PhotoQuery) => PhotoQuery): Promise<void> {
	const ids = inOrder(store.db, narrow(photoQuery(store)).select('photo.id'));
	await store.db
		.updateTable('photo')
		.set({ state: 'queued', analysis_key: null, refused_message: null, refused_hint: null })
		.where('id', 'in', ids)
		.execute();
	store.changes.announce();
}

type PhotoQuery = ReturnType<typeof photoQuery>;

function photoQuery(store: Store) {
	return store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.innerJoin('product', 'product.id', 'spread.product_id')
		.innerJoin('run', 'run.id', 'product.run_id');
}
