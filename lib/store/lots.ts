import 'server-only';
import type { Store } from './database';
import { nextInstant } from './instant';
import { notFound } from './notFound';
import { QUICK_LOT_ID } from './quickIds';
import { holds, saveNew } from './saveNew';
import { whileUnchanged } from './whileUnchanged';

/** What a person says about a lot. */
export interface LotEntry {
	readonly name: string;
	readonly source: string;
	readonly receivedMassKg: number | null;
	readonly receivedUnit: string;
	/** How it was treated before: granulated only, screened, separated electrostatically. */
	readonly treatment: string;
	readonly notes: string;
}

/** A lot: the material received, from a named source. */
export interface Lot extends LotEntry {
	readonly id: string;
	readonly demo: boolean;
	readonly createdAt: string;
}

/**
 * Save a new lot. The same id sent twice is saved once.
 *
 * @returns false where that id was taken
 */
export async function addLot(store: Store, id: string, entry: LotEntry, demo = false): Promise<boolean> {
	const added = await store.db
		.insertInto('lot')
		.values({ id, ...columnsOf(entry), demo: demo ? 1 : 0, created_at: nextInstant(), deleted_at: null })
		.onConflict((conflict) => conflict.column('id').doNothing())
		.executeTakeFirst();
	return Number(added.numInsertedOrUpdatedRows ?? 0) > 0;
}

/** Save a lot from a form that may have been saved before, see `saveNew`. @returns its id */
export async function saveNewLot(store: Store, id: string, entry: LotEntry, isRetry: boolean): Promise<string> {
	return saveNew(id, isRetry, {
		add: (one) => addLot(store, one, entry),
		isSame: async (one) =>
			holds(await store.db.selectFrom('lot').selectAll().where('id', '=', one).executeTakeFirst(), columnsOf(entry)),
		change: (one) => changeLot(store, one, entry),
	});
}

/** Change a lot. */
export async function changeLot(store: Store, id: string, entry: LotEntry): Promise<void> {
	await store.db.updateTable('lot').set(columnsOf(entry)).where('id', '=', id).execute();
}

/** All lots in sight, newest first, with the number of their runs. */
export function listLots(store: Store): Promise<readonly (Lot & { readonly runs: number })[]> {
	return whileUnchanged(store, 'lots', () => lookUpLots(store));
}

async function lookUpLots(store: Store) {
	const rows = await store.db
		.selectFrom('lot')
		.selectAll('lot')
		.select((eb) =>
			eb
				.selectFrom('run')
				.whereRef('run.lot_id', '=', 'lot.id')
				.where('run.deleted_at', 'is', null)
				.select((inner) => inner.fn.countAll<number>().as('runs'))
				.as('runs'),
		)
		.where('lot.deleted_at', 'is', null)
		.where('lot.id', '!=', QUICK_LOT_ID)
		.orderBy('lot.created_at', 'desc')
		.orderBy('lot.id')
		.execute();
	return rows.map((row) => ({ ...lotOf(row), runs: Number(row.runs ?? 0) }));
}

/**
 * One lot.
 *
 * @throws TrayError `not-found`
 */
export async function getLot(store: Store, id: string): Promise<Lot> {
	const row = await store.db
		.selectFrom('lot')
		.selectAll()
		.where('id', '=', id)
		.where('deleted_at', 'is', null)
		.executeTakeFirst();
	return row === undefined ? notFound('lot') : lotOf(row);
}

/** Take a lot out of sight, with its runs. */
export async function removeLot(store: Store, id: string): Promise<void> {
	await store.db.updateTable('lot').set({ deleted_at: new Date().toISOString() }).where('id', '=', id).execute();
}

/** Bring a removed lot back. */
export async function restoreLot(store: Store, id: string): Promise<void> {
	await store.db.updateTable('lot').set({ deleted_at: null }).where('id', '=', id).execute();
}

function columnsOf(entry: LotEntry) {
	return {
		name: entry.name,
		source: entry.source,
		received_mass_kg: entry.receivedMassKg,
		received_unit: entry.receivedUnit,
		treatment: entry.treatment,
		notes: entry.notes,
	};
}

interface LotColumns extends ReturnType<typeof columnsOf> {
	readonly id: string;
	readonly demo: number;
	readonly created_at: string;
}

function lotOf(row: LotColumns): Lot {
	return {
		id: row.id,
		name: row.name,
		source: row.source,
		receivedMassKg: row.received_mass_kg,
		receivedUnit: row.received_unit,
		treatment: row.treatment,
		notes: row.notes,
		demo: row.demo === 1,
		createdAt: row.created_at,
	};
}
