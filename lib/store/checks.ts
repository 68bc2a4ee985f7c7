import 'server-only';
import { type CheckInput, checkSchema, isOfSpread } from '../grade/checkEntry';
import type { Store } from './database';
import { nextInstant } from './instant';
import { notFound } from './notFound';
import { needRoomForCheck } from './roomInRun';
import { holds, saveNew } from './saveNew';

/** A check on record, as it was typed. */
export interface KeptCheck {
	readonly id: string;
	readonly productId: string;
	/** The spread that was sorted by hand; absent for other kinds. */
	readonly spreadId?: string;
	readonly entry: CheckInput;
}

/**
 * Save a check of a product. The same id sent twice is saved once.
 *
 * A hand sort is kept with its spread's id; the place it names among the spreads is worked out when it is used.
 */
export async function addCheck(store: Store, check: KeptCheck): Promise<boolean> {
	checkSchema.parse(check.entry);
	await needRoomForCheck(store.db, check.id, check.productId);
	const added = await store.db
		.insertInto('product_check')
		.values({
			id: check.id,
			...columnsOf(check),
			created_at: nextInstant(),
			deleted_at: null,
		})
		.onConflict((conflict) => conflict.column('id').doNothing())
		.executeTakeFirst();
	return Number(added.numInsertedOrUpdatedRows ?? 0) > 0;
}

/** Save a check from a form that may have been saved before, see `saveNew`. */
export async function saveNewCheck(store: Store, check: KeptCheck, isRetry: boolean): Promise<void> {
	const columns = columnsOf(check);
	await saveNew(check.id, isRetry, {
		add: (id) => addCheck(store, { ...check, id }),
		isSame: async (id) =>
			holds(await store.db.selectFrom('product_check').selectAll().where('id', '=', id).executeTakeFirst(), columns),
		change: async (id) => {
			await store.db.updateTable('product_check').set(columns).where('id', '=', id).execute();
		},
	});
}

function columnsOf({ productId, spreadId, entry }: KeptCheck) {
	return { product_id: productId, spread_id: spreadId ?? null, entry: JSON.stringify(entry) };
}

/** Checks of some products in the order they were entered. */
export async function listChecks(store: Store, productIds: readonly string[]): Promise<readonly KeptCheck[]> {
	if (productIds.length === 0) return [];
	const rows = await store.db
		.selectFrom('product_check')
		.selectAll()
		.where('product_id', 'in', productIds)
		.where('deleted_at', 'is', null)
		.orderBy('created_at')
		.orderBy('id')
		.execute();
	return rows.map((row) => {
		const entry: unknown = JSON.parse(row.entry);
		checkSchema.parse(entry);
		return {
			id: row.id,
			productId: row.product_id,
			...(row.spread_id === null ? {} : { spreadId: row.spread_id }),
			entry: entry as CheckInput, // parsed above; kept as typed so that it is shown as it was put in
		};
	});
}

/** Take a check out of sight. @returns its product @throws TrayError `not-found` */
export function removeCheck(store: Store, id: string): Promise<string> {
	return setDeleted(store, id, new Date().toISOString());
}

/** Bring a removed check back. @returns its product @throws TrayError `not-found` */
export function restoreCheck(store: Store, id: string): Promise<string> {
	return setDeleted(store, id, null);
}

async function setDeleted(store: Store, id: string, deletedAt: string | null): Promise<string> {
	const row = await store.db.selectFrom('product_check').select('product_id').where('id', '=', id).executeTakeFirst();
	if (row === undefined) return notFound('check');
	await store.db.updateTable('product_check').set({ deleted_at: deletedAt }).where('id', '=', id).execute();
	return row.product_id;
}

/**
 * Checks with the places of their spreads, counted from 1 among those given; a sort of a spread that is not among them is left out.
 *
 * @param spreadIds - in their order
 */
export function checksWithPlaces(checks: readonly KeptCheck[], spreadIds: readonly string[]): readonly CheckInput[] {
	return checks.flatMap(({ entry, spreadId }): CheckInput[] => {
		if (!isOfSpread(entry)) return [entry];
		const place = spreadIds.indexOf(spreadId ?? '');
		return place < 0 ? [] : [{ ...entry, spread: place + 1 }];
	});
}
