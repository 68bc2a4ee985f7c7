import 'server-only';
import { closeSync, copyFileSync, existsSync, mkdirSync, mkdtempSync, openSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import Database from 'better-sqlite3';
import { Kysely, type Migration, Migrator } from 'kysely';
import { TrayError } from '../errors/TrayError';
import { BesideSqliteDialect } from './besideDialect';
import { type Changes, startChanges } from './changes';
import { StoreSqliteDialect } from './dialects';
import { lockDirectory } from './directoryLock';
import { endRestore } from './endRestore';
import type { Files } from './files';
import { goOnAfter } from './instant';
import { keptInFull } from './keptResult';
import { localFiles } from './localFiles';
import { countsInOrder } from './migrations/countsInOrder';
import { devices } from './migrations/devices';
import { firstTables } from './migrations/firstTables';
import { heldPhotos } from './migrations/heldPhotos';
import { indexes } from './migrations/indexes';
import { photoLine } from './migrations/photoLine';
import { photoStanding } from './migrations/photoStanding';
import { prices } from './migrations/prices';
import { productChecks } from './migrations/productChecks';
import { records } from './migrations/records';
import { runChanges } from './migrations/runChanges';
import { taughtChecks } from './migrations/taughtChecks';
import { taughtSpots } from './migrations/taughtSpots';
import { yardCodes } from './migrations/yardCodes';
import { yards } from './migrations/yards';
import { noRunsAtWork, type RunsAtWork } from './runsAtWork';
import type { Tables } from './schema';
import { startWriter } from './sqliteWriter';
import { inPlainWords, isNoRight, storageError } from './storageFault';

/** One data directory, open: the database and where the files lie. */
export interface Store {
	readonly db: Kysely<Tables>;
	readonly directory: string;
	/** Originals and what was made from them, by name. */
	readonly files: Files;
	/** Word of what changed, for pages that are open. */
	readonly changes: Changes;
	/** Where this program reads the photos: what keeps it from doing so just now, in plain words. */
	readonly reading?: { haltedBy: string | undefined };
	/** What is worked out behind pages that wait for nothing. */
	readonly runsAtWork: RunsAtWork;
	/** A number that stays as long as nothing is changed, by whomever; missing where the database tells none. */
	readonly version?: () => number;
	readonly close: () => Promise<void>;
}

/** All migrations by name; names sort in the order they run and never change once released. */
export const MIGRATIONS: Readonly<Record<string, Migration>> = {
	'0001-first-tables': firstTables,
	'0002-prices': prices,
	'0003-product-checks': productChecks,
	'0004-records': records,
	'0005-held-photos': heldPhotos,
	'0006-taught-spots': taughtSpots,
	'0007-devices': devices,
	'0009-taught-checks': taughtChecks,
	'0010-indexes': indexes,
	'0011-yards': yards,
	'0012-yard-codes': yardCodes,
	'0013-photo-standing': photoStanding,
	'0014-photo-line': photoLine,
	'0015-run-changes': runChanges,
	'0016-counts-in-order': countsInOrder,
};

/** Where the database of a data directory lies. */
export function databasePath(directory: string): string {
	return path.join(/*turbopackIgnore: true*/ directory, 'deckside.sqlite');
}

/**
 * Open a data directory, make it when it is missing, and bring its tables up to date.
 *
 * Uploads that a stop left half-written are removed: nobody was told that they were kept. A restore that was cut off in its last moves is ended. A directory that may not be written
 * in is opened for reading; what would change it is refused then. One that a newer version wrote, or that has lost its database, is left as it is.
 *
 * @throws TrayError `storage` when another program uses the directory, when it cannot be written or its tables cannot be brought up to date
 */
export async function openStore(directory: string): Promise<Store> {
	let release = () => {};
	try {
		endRestore(directory);
		const file = databasePath(directory);
		if (existsSync(file) && !mayWrite(directory)) return openForReading(directory);
		refuseNewer(directory);
		for (const folder of ['photos', 'incoming', 'maps', 'previews', 'records']) {
			mkdirSync(path.join(/*turbopackIgnore: true*/ directory, folder), { recursive: true });
		}
		release = lockDirectory(directory);
		for (const name of readdirSync(path.join(directory, 'incoming'))) rmSync(path.join(directory, 'incoming', name));
		const handle = new Database(file, { timeout: BUSY_MS });
		handle.pragma('journal_mode = WAL');
		handle.pragma('synchronous = FULL');
		handle.pragma('foreign_keys = ON');
		await migrate(new Kysely<Tables>({ dialect: new StoreSqliteDialect(handle) }), handle);
		goOnAfter(latestInstant(handle));
		handle.pragma('query_only = ON');
		handle.pragma(`busy_timeout = ${READING_BUSY_MS}`);
		const db = new Kysely<Tables>({ dialect: new BesideSqliteDialect(handle, startWriter(file, BUSY_MS)) });
		const close = () =>
			keptInFull()
				.then(() => db.destroy())
				.finally(release);
		// all writing goes through other connections. @source SQLite documentation, "PRAGMA data_version"
		const version = () => Number(handle.pragma('data_version', { simple: true }));
		return { ...localStore(db, directory, close), version };
	} catch (error) {
		release();
		const plain = inPlainWords(error);
		if (plain instanceof TrayError) throw plain;
		throw storageError('unreachable', error);
	}
}

function localStore(db: Kysely<Tables>, directory: string, close: () => Promise<void>): Store {
	const [files, changes] = [localFiles(directory), startChanges()];
	return { db, directory, files, changes, reading: { haltedBy: undefined }, runsAtWork: noRunsAtWork(), close };
}

/** How long a statement waits for another program's lock, on either database, ms. Chosen by eye: longer than a backup holds one. */
export const BUSY_MS = 5000;

/** The same for what is read while the server answers, ms: short, since it holds up everybody. A database that writes ahead hardly ever makes readers wait. */
const READING_BUSY_MS = 50;

/** Tried, not asked: rights, a read-only disk and a read-only share look different to every question. */
function mayWrite(directory: string): boolean {
	const trial = path.join(directory, 'trial.part');
	try {
		closeSync(openSync(databasePath(directory), 'r+'));
		closeSync(openSync(trial, 'w'));
		rmSync(trial);
		return true;
	} catch (error) {
		return !isNoRight(error);
	}
}

function openForReading(directory: string): Store {
	const { handle, close } = openReadOnly(directory);
	try {
		refuseOtherThan(migrationsIn(handle), Object.keys(MIGRATIONS));
	} catch (error) {
		close();
		throw error;
	}
	const db = new Kysely<Tables>({ dialect: new StoreSqliteDialect(handle) });
	return localStore(db, directory, () => db.destroy().finally(close));
}

/**
 * The database of a directory for reading alone, whether a server works on it or not.
 *
 * SQLite needs to write beside a database even to read it; where that is not allowed it reads from a copy in a passing folder.
 *
 * @throws the error of the file system or of SQLite
 */
export function openReadOnly(directory: string): { readonly handle: Database.Database; readonly close: () => void } {
	if (mayWrite(directory)) {
		const handle = new Database(databasePath(directory), { readonly: true, fileMustExist: true, timeout: BUSY_MS });
		return { handle, close: () => void handle.close() };
	}
	const passing = mkdtempSync(path.join(tmpdir(), 'deckside-reading-'));
	const copy = databasePath(passing);
	for (const ending of ['', '-wal']) {
		if (existsSync(databasePath(directory) + ending)) copyFileSync(databasePath(directory) + ending, copy + ending);
	}
	const handle = new Database(copy, { fileMustExist: true });
	handle.pragma('query_only = ON');
	const close = () => {
		handle.close();
		rmSync(passing, { recursive: true, force: true });
	};
	return { handle, close };
}

/**
 * Looks before anything is touched: what a newer version wrote must not be cleared, migrated or marked, and where a database was lost or emptied
 * new tables would hide that there was something.
 */
function refuseNewer(directory: string): void {
	const found = migrationsOf(databasePath(directory));
	refuseUnknown(found);
	if (found.length === 0 && holdsOriginals(directory)) throw storageError('damaged');
}

function migrationsOf(file: string): readonly string[] {
	if (!existsSync(file)) return [];
	const handle = new Database(file, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
	try {
		return migrationsIn(handle);
	} finally {
		handle.close();
	}
}

/** Whether photos lie in the directory, on record or not: none is kept before there are tables. */
export function holdsOriginals(directory: string): boolean {
	const folder = path.join(/*turbopackIgnore: true*/ directory, 'photos');
	if (!existsSync(folder)) return false;
	return readdirSync(folder, { recursive: true, withFileTypes: true }).some((entry) => entry.isFile());
}

/** @throws TrayError `storage` when a migration among these is not known here: a newer version wrote the data */
export function refuseUnknown(names: readonly string[]): void {
	if (names.some((name) => !(name in MIGRATIONS))) throw storageError('newer');
}

function refuseOtherThan(found: readonly string[], known: readonly string[]): void {
	if (found.length !== known.length || found.some((name) => !known.includes(name))) throw storageError('newer');
}

/** Names of the migrations that a database has gone through. */
export function migrationsIn(handle: Database.Database): readonly string[] {
	const there = handle.prepare("select 1 from sqlite_master where type = 'table' and name = 'kysely_migration'").get();
	if (there === undefined) return [];
	// one text column asked for
	return handle.prepare('select name from kysely_migration order by name').pluck().all() as string[];
}

/** Tables in which the latest row counts, or which are shown in their order. */
const IN_ORDER = ['lot', 'run', 'photo', 'product_check', 'taught_spot', 'price_sheet', 'record'] as const;

/** When the latest of them was made; the epoch where there is none. */
function latestInstant(handle: Database.Database): string {
	const each = IN_ORDER.map((table) => `select max(created_at) as at from ${table}`).join(' union all ');
	return String(handle.prepare(`select max(at) from (${each})`).pluck().get() ?? new Date(0).toISOString());
}

/** The whole migration in one transaction: SQLite would keep half of a failed one otherwise. */
async function migrate(db: Kysely<Tables>, handle: Database.Database): Promise<void> {
	const migrator = new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } });
	handle.exec('begin immediate');
	const { error } = await migrator.migrateToLatest();
	handle.exec(error === undefined ? 'commit' : 'rollback');
	if (error === undefined) return;
	await db.destroy();
	const plain = inPlainWords(error);
	throw plain instanceof TrayError ? plain : storageError('newer', error);
}

/** Where data lies unless told otherwise: DECKSIDE_DATA, else `data` in the folder the program was started from. */
export function dataDirectory(): string {
	return path.resolve(/* turbopackIgnore: true */ process.env.DECKSIDE_DATA || 'data');
}
