import 'server-only';
import type { Store } from './database';
import type { KeptPhoto } from './photoFiles';
import { photoTwins } from './photoTwins';

/** Size on record of a photo whose original was not here when its run was taken in. */
export const LOST_BYTES = 0;

/**
 * Give a photo that was sent again back to the place that a run taken in from a file keeps for it.
 *
 * @returns its id there; undefined where this product misses no such photo
 */
export async function returnLostPhoto(
	store: Store,
	productId: string,
	{ sha256, sizeBytes }: KeptPhoto,
): Promise<string | undefined> {
	const row = await photoTwins(store.db, productId, sha256)
		.where('photo.size_bytes', '=', LOST_BYTES)
		.executeTakeFirst();
	if (row === undefined) return undefined;
	await store.db
		.updateTable('photo')
		.set({ size_bytes: sizeBytes, state: 'queued', refused_message: null, refused_hint: null })
		.where('id', '=', row.id)
		.execute();
	return row.id;
}

/** Checksums of the different originals on record, but for those that a run taken in from a file only keeps a place for. */
export async function originalsOf(store: Store): Promise<string[]> {
	const rows = await store.db
		.selectFrom('photo')
		.select('sha256')
		.distinct()
		.where('size_bytes', '!=', LOST_BYTES)
		.orderBy('sha256')
		.execute();
	return rows.map(({ sha256 }) => sha256);
}
