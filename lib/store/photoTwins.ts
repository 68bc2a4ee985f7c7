import 'server-only';
import type { Store } from './database';

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
