import 'server-only';
import type { Store } from './database';
import { addLot } from './lots';
import { DEFAULT_MATERIAL_NAME } from './materials';
import { choosePhotoReading, type Photo } from './photos';
import { addProduct, getProduct, listProducts, removeProduct } from './products';
import { QUICK_LOT_ID, QUICK_RUN_ID } from './quickIds';
import { needRoomForPhoto } from './roomInRun';
import { addRun, getRun } from './runs';
import { listSpreads } from './spreads';

/** A photo graded without a run. */
export interface QuickCheck {
	readonly id: string;
	/** When it was made, as its product is called. */
	readonly name: string;
	readonly photos: readonly Photo[];
}

/** Make the product that a quick check's photo goes into; the same id again changes nothing. */
export async function openQuickCheck(store: Store, id: string): Promise<void> {
	const now = new Date();
	const words = { source: '', treatment: '', notes: '' };
	const name = 'Quick checks';
	await addLot(store, QUICK_LOT_ID, { name, receivedMassKg: null, receivedUnit: 'kg', ...words });
	const entry = { name, runDate: now.toISOString().slice(0, 10), settings: {}, feed: {}, notes: '' };
	await addRun(store, QUICK_RUN_ID, QUICK_LOT_ID, { ...entry, material: DEFAULT_MATERIAL_NAME }, []);
	await addProduct(store, id, QUICK_RUN_ID, { name: now.toISOString(), role: 'concentrate' });
}

/** Quick checks in sight, latest first. */
export async function listQuickChecks(store: Store): Promise<readonly QuickCheck[]> {
	const products = await listProducts(store, QUICK_RUN_ID);
	const checks = await Promise.all(products.map(({ id, name }) => checkOf(store, id, name)));
	return checks.reverse();
}

/** One quick check; undefined while its photo has not arrived, or after it was kept in a run or thrown away. */
export async function findQuickCheck(store: Store, id: string): Promise<QuickCheck | undefined> {
	const product = (await listProducts(store, QUICK_RUN_ID)).find((one) => one.id === id);
	return product === undefined ? undefined : checkOf(store, id, product.name);
}

async function checkOf(store: Store, id: string, name: string): Promise<QuickCheck> {
	const spreads = await listSpreads(store, id);
	return { id, name, photos: spreads.flatMap(({ photos }) => photos) };
}

/**
 * Keep a quick check as a spread of a bin. Its photo is read again where the bin's run reads photos with another material.
 *
 * @throws TrayError `not-found` when the bin is gone, `usage` when it is full
 */
export async function keepQuickCheck(store: Store, id: string, productId: string): Promise<void> {
	const { runId } = await getProduct(store, productId);
	const { material } = await getRun(store, runId);
	const here = await checkOf(store, id, '');
	const there = (await listSpreads(store, productId)).flatMap(({ photos }) => photos);
	// a shot that the bin already has must not count twice
	if (here.photos.every((photo) => there.some(({ sha256 }) => sha256 === photo.sha256)))
		return removeProduct(store, id);
	for (const { spreadId } of here.photos) await needRoomForPhoto(store.db, productId, spreadId);
	const last = await store.db
		.selectFrom('spread')
		.select((eb) => eb.fn.max('position').as('position'))
		.where('product_id', '=', productId)
		.executeTakeFirst();
	await store.db
		.updateTable('spread')
		.set({ product_id: productId, position: Number(last?.position ?? -1) + 1 })
		.where('product_id', '=', id)
		.execute();
	if ((await getRun(store, QUICK_RUN_ID)).material !== material)
		for (const { id: photoId, choice, state } of here.photos)
			if (state.kind !== 'held') await choosePhotoReading(store, photoId, choice);
	await removeProduct(store, id);
}
