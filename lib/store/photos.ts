import 'server-only';
import type { Store } from './database';
import { type ReadingChoice, readingChoiceSchema } from './entries';
import { inOrder } from './heldPhotos';
import { nextInstant } from './instant';
import { notFound } from './notFound';
import type { KeptPhoto } from './photoFiles';
import { holdPhotosOf, photoTwins } from './photoTwins';
import { needRoomForPhoto } from './roomInRun';

/** Where a photo stands; what excludes one another cannot be both. */
export type PhotoState =
	| { readonly kind: 'queued' }
	| { readonly kind: 'reading' }
	| { readonly kind: 'graded'; readonly analysisKey: string }
	| { readonly kind: 'refused'; readonly message: string; readonly hint: string }
	/** Kept, neither read nor counted until asked for: its reading was stopped, or it was taken again or left out. */
	| { readonly kind: 'held'; readonly why: 'stopped' | 'setAside' };

/** The database's word for a photo set aside. */
const SET_ASIDE = 'redone';

/** One photo of a spread. */
export interface Photo {
	readonly id: string;
	readonly spreadId: string;
	readonly sha256: string;
	readonly originalName: string;
	readonly sizeBytes: number;
	readonly choice: ReadingChoice;
	readonly state: PhotoState;
}

/**
 * Put a kept photo into a spread; the spread is made when it is new. The same photo id sent twice is saved once.
 *
 * @returns the photo's id, which is the earlier one where the same bytes already belong to this product
 * @throws TrayError `usage` where there is no room for it, see `needRoomForPhoto`
 */
export async function addPhoto(
	store: Store,
	photo: { readonly id: string; readonly spreadId: string; readonly productId: string; readonly originalName: string },
	kept: KeptPhoto,
	choice: ReadingChoice = readingChoiceSchema.parse({}),
): Promise<string> {
	return store.db.transaction().execute(async (tx) => {
		await holdPhotosOf(tx, photo.productId);
		// the same bytes are the same shot, however often it was chosen: they must not count twice
		const twin = await photoTwins(tx, photo.productId, kept.sha256).executeTakeFirst();
		if (twin !== undefined) return twin.id;
		await needRoomForPhoto(tx, photo.productId, photo.spreadId);
		const last = await tx
			.selectFrom('spread')
			.select((eb) => eb.fn.max('position').as('position'))
			.where('product_id', '=', photo.productId)
			.executeTakeFirst();
		await tx
			.insertInto('spread')
			.values({
				id: photo.spreadId,
				product_id: photo.productId,
				position: Number(last?.position ?? -1) + 1,
				weighed_mass_kg: null,
				weighed_unit: 'g',
			})
			.onConflict((conflict) => conflict.column('id').doNothing())
			.execute();
		await tx
			.insertInto('photo')
			.values({
				id: photo.id,
				spread_id: photo.spreadId,
				sha256: kept.sha256,
				original_name: photo.originalName.slice(0, 200),
				size_bytes: kept.sizeBytes,
				choice: JSON.stringify(choice),
				state: 'queued',
				refused_message: null,
				refused_hint: null,
				analysis_key: null,
				held: null,
				created_at: nextInstant(),
				deleted_at: null,
			})
			.onConflict((conflict) => conflict.column('id').doNothing())
			.execute();
		return photo.id;
	});
}

/** Photos in sight of some products, with their spreads; those of a product in order. */
export function photosOf({ db }: Store, productIds: readonly string[]) {
	return db
		.selectFrom('spread')
		.innerJoin('photo', 'photo.spread_id', 'spread.id')
		.where('spread.product_id', 'in', productIds)
		.where('photo.deleted_at', 'is', null)
		.orderBy('spread.position')
		.orderBy('photo.created_at')
		.orderBy('photo.id');
}

/**
 * One photo in sight, with the ids that lead to it.
 *
 * @throws TrayError `not-found`
 */
export async function getPhoto(
	store: Store,
	id: string,
): Promise<Photo & { readonly productId: string; readonly runId: string }> {
	const row = await store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.innerJoin('product', 'product.id', 'spread.product_id')
		.selectAll('photo')
		.select(['spread.product_id', 'product.run_id'])
		.where('photo.id', '=', id)
		.where('photo.deleted_at', 'is', null)
		.executeTakeFirst();
	return row === undefined ? notFound('photo') : { ...photoOf(row), productId: row.product_id, runId: row.run_id };
}

/** Read a photo in another way, or count a held one: it goes back into the queue; what the earlier way gave stays in the cache. */
export async function choosePhotoReading(store: Store, id: string, choice: ReadingChoice): Promise<void> {
	await store.db
		.updateTable('photo')
		.set({
			choice: JSON.stringify(readingChoiceSchema.parse(choice)),
			state: 'queued',
			analysis_key: null,
			refused_message: null,
			refused_hint: null,
			held: null,
		})
		.where('id', '=', id)
		.execute();
	store.changes.announce();
}

/** Keep the photos of a product that could not be read, but ask nothing more of anybody about them. */
export async function setAsideRefused(store: Store, productId: string): Promise<void> {
	const refused = photosOf(store, [productId])
		.select('photo.id')
		.where('photo.state', '=', 'refused')
		.where('photo.held', 'is', null);
	await store.db
		.updateTable('photo')
		.set({ held: SET_ASIDE })
		.where('id', 'in', inOrder(store.db, refused.clearOrderBy()))
		.execute();
	store.changes.announce();
}

/** Keep a photo but count it no more, since a later one of the same spread was taken instead. */
export async function setAside(store: Store, id: string): Promise<void> {
	await store.db.updateTable('photo').set({ held: SET_ASIDE }).where('id', '=', id).execute();
	store.changes.announce();
}

/** A photo of a product in sight, with its spread; undefined where the product has none of this id. */
export async function photoOfProduct(
	store: Store,
	id: string,
	productId: string,
): Promise<{ readonly id: string; readonly spreadId: string } | undefined> {
	return store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.select(['photo.id', 'photo.spread_id as spreadId'])
		.where('photo.id', '=', id)
		.where('spread.product_id', '=', productId)
		.where('photo.deleted_at', 'is', null)
		.executeTakeFirst();
}

/** Take a photo out of sight. */
export async function removePhoto(store: Store, id: string): Promise<void> {
	await store.db.updateTable('photo').set({ deleted_at: new Date().toISOString() }).where('id', '=', id).execute();
	store.changes.announce();
}

/**
 * Bring a removed photo back, unless its product has the same bytes again by now: they must not count twice.
 *
 * @returns its product
 * @throws TrayError `not-found`
 */
export async function restorePhoto(store: Store, id: string): Promise<string> {
	const productId = await store.db.transaction().execute(async (tx) => {
		const photo = await tx
			.selectFrom('photo')
			.innerJoin('spread', 'spread.id', 'photo.spread_id')
			.select(['photo.sha256', 'spread.product_id'])
			.where('photo.id', '=', id)
			.executeTakeFirst();
		if (photo === undefined) return notFound('photo');
		await holdPhotosOf(tx, photo.product_id);
		if ((await photoTwins(tx, photo.product_id, photo.sha256).executeTakeFirst()) === undefined)
			await tx.updateTable('photo').set({ deleted_at: null }).where('id', '=', id).execute();
		return photo.product_id;
	});
	store.changes.announce();
	return productId;
}

interface PhotoColumns {
	readonly id: string;
	readonly spread_id: string;
	readonly sha256: string;
	readonly original_name: string;
	readonly size_bytes: number;
	readonly choice: string;
	readonly state: string;
	readonly refused_message: string | null;
	readonly refused_hint: string | null;
	readonly analysis_key: string | null;
	readonly held: string | null;
}

/** A photo of its row. */
export function photoOf(row: PhotoColumns): Photo {
	return {
		id: row.id,
		spreadId: row.spread_id,
		sha256: row.sha256,
		originalName: row.original_name,
		sizeBytes: row.size_bytes,
		choice: readingChoiceSchema.parse(JSON.parse(row.choice)),
		state: stateOf(row),
	};
}

function stateOf(row: PhotoColumns): PhotoState {
	if (row.held !== null) return { kind: 'held', why: row.held === SET_ASIDE ? 'setAside' : 'stopped' };
	if (row.state === 'graded' && row.analysis_key !== null) return { kind: 'graded', analysisKey: row.analysis_key };
	if (row.state === 'refused') {
		return { kind: 'refused', message: row.refused_message ?? '', hint: row.refused_hint ?? '' };
	}
	return { kind: row.state === 'reading' ? 'reading' : 'queued' };
}
