import 'server-only';
import type { Transaction } from 'kysely';
import type { Store } from './database';
import { isPostgres } from './isPostgres';
import type { Tables } from './schema';

/** The photos in sight with these bytes that a product has, as a query to narrow further. */
export function photoTwins(db: Pick<Store['db'], 'selectFrom'>, productId: string, sha256: string) {
	return db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.select('photo.id')
		.where('spread.product_id', '=', productId)
		.where('photo.sha256', '=', sha256)
		.where('photo.deleted_at', 'is', null);
}

/** Whoever puts a photo into a product comes one after the other until the transaction ends, or neither of two would see the other's. */
export async function holdPhotosOf(tx: Transaction<Tables>, productId: string): Promise<void> {
	// a transaction of SQLite holds the whole database
	if (!isPostgres(tx)) return;
	await tx.selectFrom('product').select('id').where('id', '=', productId).forNoKeyUpdate().execute();
}
