import 'server-only';
import type { Kysely } from 'kysely';
import { TrayError } from '../errors/TrayError';
import { openStore, type Store } from './database';
import { keptBesideOriginals } from './files';
import { originalsOf } from './lostPhotos';
import { photoName, stateOfPhoto } from './photoFiles';
import { jobsOf } from './photoJobs';
import type { YardDatabase } from './postgres';
import type { Tables } from './schema';
import { sha256Of } from './sha256Of';
import { YARD_COLUMN } from './yardScope';
import { enterYard } from './yards';

/** What was moved. */
export interface MovedDirectory {
	/** Rows by table. */
	readonly rows: Readonly<Record<MovedTable, number>>;
	readonly photos: number;
	/** Class maps, pictures of records and signing keys. */
	readonly otherFiles: number;
	/** Originals that are missing or altered in the directory: their places are moved, their bytes cannot be. */
	readonly lostPhotos: readonly string[];
}

/** Tables with what tells their rows apart, each after those that its rows hang on. */
const TABLES = {
	lot: ['id'],
	run: ['id'],
	product: ['id'],
	spread: ['id'],
	photo: ['id'],
	product_check: ['id'],
	record: ['id'],
	record_link: ['id'],
	price_sheet: ['id'],
	material: ['name'],
	taught_spot: ['material', 'id'],
	setting: ['name'],
	analysis: ['key'],
	account: ['key'],
	device: ['id'],
} as const satisfies Partial<Record<keyof Tables, readonly string[]>>;
type MovedTable = keyof typeof TABLES;
const NAMES = Object.keys(TABLES) as MovedTable[]; // the record's own keys

/** Rows that are taken along at a time: one may hold a reading of some 50 kB. */
const BATCH = 100;

/**
 * Take everything of a data directory into a yard that holds nothing yet. Files go first, each read back and compared; then all
 * rows in one transaction, read back and compared with the directory's by number and by hash before it is committed. Whatever
 * goes wrong, the yard stays without rows and this can be done again. The directory is only read, but for being brought up to
 * date; nothing else may use it meanwhile. Previews are left out; they are made again when asked for.
 *
 * @throws TrayError `usage` when the yard holds something, `storage` when either side cannot be used
 */
export async function moveDirectory(
	directory: string,
	database: YardDatabase,
	yardId: string,
): Promise<MovedDirectory> {
	const source = await openStore(directory);
	try {
		// what was being read when the directory was left, waits
		await jobsOf(source).start();
		await enterYard(database, yardId);
		const target = database.storeOf(yardId);
		await needEmpty(target.db, yardId);
		const moved = await moveFiles(source, target);
		const rows = await target.db.transaction().execute(async (into) => {
			// of two that fill a yard at once the second waits here, and finds it filled
			await into.selectFrom('yard').select('created_at').forUpdate().execute();
			await needEmpty(into, yardId);
			const counts = {} as Record<MovedTable, number>;
			for (const table of NAMES) counts[table] = await moveRows(table, source.db, into);
			return counts;
		});
		target.changes.announce();
		return { rows, ...moved };
	} finally {
		await source.close();
	}
}

async function needEmpty(db: Kysely<Tables>, yardId: string): Promise<void> {
	for (const table of NAMES) {
		const [row] = await pageOf(db, table, 0, 1);
		if (row === undefined) continue;
		const hint = 'Take another name; what is there was left as it is.';
		throw new TrayError('usage', `The yard "${yardId}" is not empty: its table ${table} holds rows.`, hint);
	}
}

async function moveFiles(source: Store, target: Store): Promise<Omit<MovedDirectory, 'rows'>> {
	const originals = await originalsOf(source);
	const lostPhotos: string[] = [];
	for (const sha256 of originals) {
		if ((await stateOfPhoto(source.files, sha256)) === 'whole') await moveFile(source, target, photoName(sha256));
		else lostPhotos.push(sha256);
	}
	const kept = await keptBesideOriginals(source.files);
	for (const name of kept) await moveFile(source, target, name);
	return { photos: originals.length - lostPhotos.length, otherFiles: kept.length, lostPhotos };
}

async function moveFile(source: Store, target: Store, name: string): Promise<void> {
	const bytes = (await source.files.read(name)) ?? new Uint8Array();
	await target.files.write(name, bytes);
	const arrived = await target.files.read(name);
	if (arrived === undefined || sha256Of(arrived) !== sha256Of(bytes)) throw arrivedOtherwise(name);
}

/** @returns how many rows there are, the same on both sides */
async function moveRows(table: MovedTable, from: Kysely<Tables>, into: Kysely<Tables>): Promise<number> {
	const [sent, arrived] = [new RowHashes(), new RowHashes()];
	const later: { readonly id: unknown; readonly superseded_by: unknown }[] = [];
	for await (const rows of pagesOf(from, table)) {
		sent.add(rows);
		// a record may be superseded by one that comes after it
		const first = rows.map((row) => ('superseded_by' in row ? { ...row, superseded_by: null } : row));
		await anyTable(into).insertInto(table).values(first).execute();
		for (const { id, superseded_by } of rows) if (superseded_by != null) later.push({ id, superseded_by });
	}
	for (const { id, superseded_by } of later) {
		await anyTable(into).updateTable(table).set({ superseded_by }).where('id', '=', id).execute();
	}
	for await (const rows of pagesOf(into, table)) arrived.add(rows);
	if (sent.count !== arrived.count || sent.all() !== arrived.all()) throw arrivedOtherwise(`table ${table}`);
	return sent.count;
}

function arrivedOtherwise(what: string): Error {
	const hint = 'Nothing was moved. Check both places, then start again.';
	return new TrayError('storage', `${what} did not arrive as it was sent.`, hint);
}

type Row = Readonly<Record<string, unknown>>;

/** The same for every table: which columns there are is said by the rows. */
function anyTable(db: Kysely<Tables>): Kysely<Record<string, Record<string, unknown>>> {
	return db as unknown as Kysely<Record<string, Record<string, unknown>>>; // a table is a record of its columns
}

/** Rows without whose they are: a yard's own queries don't tell. */
async function pageOf(db: Kysely<Tables>, table: MovedTable, offset: number, limit: number): Promise<readonly Row[]> {
	let query = anyTable(db).selectFrom(table).selectAll();
	for (const column of TABLES[table]) query = query.orderBy(column);
	const rows = await query.limit(limit).offset(offset).execute();
	return rows.map(({ [YARD_COLUMN]: _, ...row }) => row);
}

async function* pagesOf(db: Kysely<Tables>, table: MovedTable): AsyncGenerator<readonly Row[]> {
	for (let offset = 0; ; offset += BATCH) {
		const rows = await pageOf(db, table, offset, BATCH);
		if (rows.length > 0) yield rows;
		if (rows.length < BATCH) return;
	}
}

/** One hash over rows in whatever order they come: two databases sort letters differently. */
class RowHashes {
	private readonly hashes: string[] = [];
	add(rows: readonly Row[]): void {
		for (const row of rows) {
			this.hashes.push(sha256Of(JSON.stringify(Object.entries(row).sort(([a], [b]) => (a < b ? -1 : 1)))));
		}
	}
	get count(): number {
		return this.hashes.length;
	}
	all(): string {
		return sha256Of(this.hashes.sort().join());
	}
}
