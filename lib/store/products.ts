import 'server-only';
import type { ProductRole } from '../material/classes';
import type { Store } from './database';
import { productRoleSchema, type TypedWeighing, typedWeighingSchema } from './entries';
import { notFound } from './notFound';
import { needRoomForBin } from './roomInRun';
import { holds, saveNew } from './saveNew';

/** What one bin caught. */
export interface Product {
	readonly id: string;
	readonly runId: string;
	readonly name: string;
	readonly role: ProductRole;
	readonly position: number;
	/** Absent until weighed. */
	readonly weighing?: TypedWeighing;
}

/** Add a product at the end of a run's list. The same id sent twice is saved once. @returns false where that id was taken @throws TrayError `usage` where the run is full */
export async function addProduct(
	store: Store,
	id: string,
	runId: string,
	entry: { readonly name: string; readonly role: ProductRole },
): Promise<boolean> {
	await needRoomForBin(store.db, id, runId);
	const last = await store.db
		.selectFrom('product')
		.select((eb) => eb.fn.max('position').as('position'))
		.where('run_id', '=', runId)
		.executeTakeFirst();
	const added = await store.db
		.insertInto('product')
		.values({
			id,
			run_id: runId,
			...entry,
			position: Number(last?.position ?? -1) + 1,
			weighing: null,
			deleted_at: null,
		})
		.onConflict((conflict) => conflict.column('id').doNothing())
		.executeTakeFirst();
	store.changes.announce();
	return Number(added.numInsertedOrUpdatedRows ?? 0) > 0;
}

/** Save a product from a form that may have been saved before, see `saveNew`. */
export async function saveNewProduct(
	store: Store,
	id: string,
	runId: string,
	entry: { readonly name: string; readonly role: ProductRole },
	isRetry: boolean,
): Promise<void> {
	await saveNew(id, isRetry, {
		add: (one) => addProduct(store, one, runId, entry),
		isSame: async (one) =>
			holds(await store.db.selectFrom('product').selectAll().where('id', '=', one).executeTakeFirst(), entry),
		change: (one) => changeProduct(store, one, entry),
	});
}

/** Rename a product or change its role. */
export async function changeProduct(
	store: Store,
	id: string,
	entry: { readonly name: string; readonly role: ProductRole },
): Promise<void> {
	await store.db.updateTable('product').set(entry).where('id', '=', id).execute();
	store.changes.announce();
}

/** Save a product's weighing, or take it away. */
export async function weighProduct(store: Store, id: string, weighing: TypedWeighing | undefined): Promise<void> {
	const saved = weighing === undefined ? null : JSON.stringify(typedWeighingSchema.parse(weighing));
	await store.db.updateTable('product').set({ weighing: saved }).where('id', '=', id).execute();
	store.changes.announce();
}

/** Products of a run in their order. */
export async function listProducts(store: Store, runId: string): Promise<readonly Product[]> {
	return listProductsOf(store, [runId]);
}

/** Products of some runs; those of a run in their order. */
export async function listProductsOf(store: Store, runIds: readonly string[]): Promise<readonly Product[]> {
	if (runIds.length === 0) return [];
	const rows = await store.db
		.selectFrom('product')
		.selectAll()
		.where('run_id', 'in', runIds)
		.where('deleted_at', 'is', null)
		.orderBy('position')
		.orderBy('id')
		.execute();
	return rows.map(productOf);
}

/**
 * One product.
 *
 * @throws TrayError `not-found`
 */
export async function getProduct(store: Store, id: string): Promise<Product> {
	const row = await store.db
		.selectFrom('product')
		.selectAll()
		.where('id', '=', id)
		.where('deleted_at', 'is', null)
		.executeTakeFirst();
	return row === undefined ? notFound('product') : productOf(row);
}

/** Take a product out of sight, with its photos. */
export async function removeProduct(store: Store, id: string): Promise<void> {
	await store.db.updateTable('product').set({ deleted_at: new Date().toISOString() }).where('id', '=', id).execute();
	store.changes.announce();
}

/** Bring a removed product back. */
export async function restoreProduct(store: Store, id: string): Promise<void> {
	await store.db.updateTable('product').set({ deleted_at: null }).where('id', '=', id).execute();
	store.changes.announce();
}

interface ProductColumns {
	readonly id: string;
	readonly run_id: string;
	readonly name: string;
	readonly role: string;
	readonly position: number;
	readonly weighing: string | null;
}

function productOf(row: ProductColumns): Product {
	return {
		id: row.id,
		runId: row.run_id,
		name: row.name,
		role: productRoleSchema.parse(row.role),
		position: row.position,
		...(row.weighing === null ? {} : { weighing: typedWeighingSchema.parse(JSON.parse(row.weighing)) }),
	};
}
