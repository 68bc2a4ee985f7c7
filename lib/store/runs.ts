import 'server-only';
import { randomUUID } from 'node:crypto';
import type { Store } from './database';
import { DEFAULT_PRODUCTS, type Feed, feedSchema, type TableSettings, tableSettingsSchema } from './entries';
import { nextInstant } from './instant';
import { notFound } from './notFound';
import { QUICK_RUN_ID } from './quickIds';
import { holds, saveNew } from './saveNew';

/** What a person says about a run. */
export interface RunEntry {
	readonly name: string;
	/** Calendar day, YYYY-MM-DD. */
	readonly runDate: string;
	readonly settings: TableSettings;
	readonly feed: Feed;
	readonly notes: string;
	/** Name of the material its photos are read with. */
	readonly material: string;
}

/** A run: one pass of a weighed feed from a lot over the table. */
export interface Run extends RunEntry {
	readonly id: string;
	readonly lotId: string;
	readonly demo: boolean;
	readonly createdAt: string;
}

/** A run in a list, with its lot's name. */
export interface RunLine extends Run {
	readonly lotName: string;
}

/** Save a new run with its products. The same id sent twice is saved once. @returns false where that id was taken */
export async function addRun(
	store: Store,
	id: string,
	lotId: string,
	entry: RunEntry,
	products: readonly { readonly name: string; readonly role: string }[] = DEFAULT_PRODUCTS,
	demo = false,
): Promise<boolean> {
	return store.db.transaction().execute(async (tx) => {
		const added = await tx
			.insertInto('run')
			.values({
				id,
				lot_id: lotId,
				...columnsOf(entry),
				demo: demo ? 1 : 0,
				created_at: nextInstant(),
				deleted_at: null,
			})
			.onConflict((conflict) => conflict.column('id').doNothing())
			.executeTakeFirst();
		if (Number(added.numInsertedOrUpdatedRows ?? 0) === 0) return false;
		if (products.length === 0) return true;
		await tx
			.insertInto('product')
			.values(
				products.map(({ name, role }, position) => ({
					id: randomUUID(),
					run_id: id,
					name,
					role,
					position,
					weighing: null,
					deleted_at: null,
				})),
			)
			.execute();
		return true;
	});
}

/** Save a run from a form that may have been saved before, see `saveNew`. @returns its id */
export async function saveNewRun(
	store: Store,
	id: string,
	lotId: string,
	entry: RunEntry,
	isRetry: boolean,
): Promise<string> {
	const columns = { lot_id: lotId, ...columnsOf(entry) };
	return saveNew(id, isRetry, {
		add: (one) => addRun(store, one, lotId, entry),
		isSame: async (one) =>
			holds(await store.db.selectFrom('run').selectAll().where('id', '=', one).executeTakeFirst(), columns),
		change: async (one) => {
			await store.db.updateTable('run').set(columns).where('id', '=', one).execute();
		},
	});
}

/** Change a run's entry. */
export async function changeRun(store: Store, id: string, entry: RunEntry): Promise<void> {
	await store.db.updateTable('run').set(columnsOf(entry)).where('id', '=', id).execute();
}

/** Which runs are listed: all in sight unless told otherwise. */
interface Wanted {
	readonly lotId?: string | undefined;
	/** These alone. */
	readonly ids?: readonly string[];
	/** The person's own, without the demonstration's. */
	readonly own?: boolean;
	readonly limit?: number;
	/** So many of the latest are passed over. */
	readonly skip?: number;
}

/** Runs in sight, latest first. */
export async function listRuns(store: Store, wanted: Wanted = {}): Promise<readonly RunLine[]> {
	let query = runsInSight(store, wanted)
		.selectAll('run')
		.select('lot.name as lot_name')
		.orderBy('run.run_date', 'desc')
		.orderBy('run.created_at', 'desc')
		.orderBy('run.id');
	// SQLite takes no offset without a limit
	if (wanted.limit !== undefined) query = query.limit(wanted.limit).offset(wanted.skip ?? 0);
	const rows = await query.execute();
	return rows.map((row) => ({ ...runOf(row), lotName: row.lot_name }));
}

/** How often each of some runs has changed, with what it shares with others; in the order of `listRuns`. */
export async function listChanges(store: Store, wanted: Pick<Wanted, 'lotId' | 'ids'>) {
	const rows = await runsInSight(store, wanted)
		.leftJoin('run_change', 'run_change.run_id', 'run.id')
		.select(['run.id', 'run.material', 'run.demo', 'run_change.changes'])
		.orderBy('run.run_date', 'desc')
		.orderBy('run.created_at', 'desc')
		.orderBy('run.id')
		.execute();
	return rows.map(({ demo, changes, ...run }) => ({ ...run, demo: demo === 1, changes: changes ?? 0 }));
}

/** How many there are. */
export async function countRuns(store: Store, wanted: Pick<Wanted, 'lotId' | 'own'>): Promise<number> {
	const { runs } = await runsInSight(store, wanted)
		.select(({ fn }) => fn.countAll<number | string>().as('runs'))
		.executeTakeFirstOrThrow();
	return Number(runs);
}

function runsInSight(store: Store, { lotId, ids, own }: Wanted) {
	const all = store.db
		.selectFrom('run')
		.innerJoin('lot', 'lot.id', 'run.lot_id')
		.where('run.deleted_at', 'is', null)
		.where('lot.deleted_at', 'is', null)
		.where('run.id', '!=', QUICK_RUN_ID);
	const ofLot = lotId === undefined ? all : all.where('run.lot_id', '=', lotId);
	// PostgreSQL takes no empty list, and no run has an empty id
	const named = ids === undefined ? ofLot : ofLot.where('run.id', 'in', ['', ...ids]);
	return own ? named.where('run.demo', '=', 0) : named;
}

/**
 * One run.
 *
 * @throws TrayError `not-found`
 */
export async function getRun(store: Store, id: string): Promise<RunLine> {
	const row = await store.db
		.selectFrom('run')
		.innerJoin('lot', 'lot.id', 'run.lot_id')
		.selectAll('run')
		.select('lot.name as lot_name')
		.where('run.id', '=', id)
		.where('run.deleted_at', 'is', null)
		.where('lot.deleted_at', 'is', null)
		.executeTakeFirst();
	return row === undefined ? notFound('run') : { ...runOf(row), lotName: row.lot_name };
}

/** Read a run with another material; its photos still have to be read again. */
export async function setRunMaterial(store: Store, id: string, material: string): Promise<void> {
	await store.db.updateTable('run').set({ material }).where('id', '=', id).execute();
}

/** Take a run out of sight. */
export async function removeRun(store: Store, id: string): Promise<void> {
	await store.db.updateTable('run').set({ deleted_at: new Date().toISOString() }).where('id', '=', id).execute();
}

/** Bring a removed run back. */
export async function restoreRun(store: Store, id: string): Promise<void> {
	await store.db.updateTable('run').set({ deleted_at: null }).where('id', '=', id).execute();
}

function columnsOf(entry: RunEntry) {
	return {
		name: entry.name,
		run_date: entry.runDate,
		settings: JSON.stringify(tableSettingsSchema.parse(entry.settings)),
		feed: JSON.stringify(feedSchema.parse(entry.feed)),
		notes: entry.notes,
		material: entry.material,
	};
}

interface RunColumns extends ReturnType<typeof columnsOf> {
	readonly id: string;
	readonly lot_id: string;
	readonly demo: number;
	readonly created_at: string;
}

function runOf(row: RunColumns): Run {
	return {
		id: row.id,
		lotId: row.lot_id,
		name: row.name,
		runDate: row.run_date,
		settings: tableSettingsSchema.parse(JSON.parse(row.settings)),
		feed: feedSchema.parse(JSON.parse(row.feed)),
		notes: row.notes,
		material: row.material,
		demo: row.demo === 1,
		createdAt: row.created_at,
	};
}
