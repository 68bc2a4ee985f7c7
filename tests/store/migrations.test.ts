import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import Database from 'better-sqlite3';
import { Kysely, Migrator, SqliteDialect } from 'kysely';
import { expect, test } from 'vitest';
import { listChecks } from '@/lib/store/checks';
import { databasePath, MIGRATIONS, openStore } from '@/lib/store/database';
import { listLots } from '@/lib/store/lots';
import { latestPrices } from '@/lib/store/prices';
import { COPPER, expectEarlierRows, kept, ROWS } from './earlierRows';
import { temporaryFolder, temporaryStore } from './temporaryStore';

/** A data directory as the version whose last migration this was left it, with a row in every table it had. */
async function directoryOf(version: string): Promise<string> {
	const folder = await temporaryFolder();
	mkdirSync(path.join(folder, 'photos'));
	const handle = new Database(databasePath(folder));
	handle.pragma('journal_mode = WAL');
	const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: handle }) });
	const { error } = await new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } }).migrateTo(version);
	expect(error).toBeUndefined();
	for (const [table, row] of ROWS) {
		if (!tablesIn(handle).includes(table)) continue;
		const columns = Object.keys(row);
		handle
			.prepare(`insert into ${table} (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`)
			.run(...Object.values(row));
	}
	await db.destroy();
	return folder;
}

function tablesIn(handle: Database.Database): readonly unknown[] {
	return handle
		.prepare(
			"select name from sqlite_master where type = 'table' and name not like 'kysely%' and name not like 'sqlite%'",
		)
		.pluck()
		.all();
}

function contentOf(folder: string): Readonly<Record<string, readonly unknown[]>> {
	const handle = new Database(databasePath(folder), { readonly: true });
	const content = tablesIn(handle).map((table) => [table, handle.prepare(`select * from ${table}`).all()]);
	handle.close();
	return Object.fromEntries(content);
}

const VERSIONS = Object.keys(MIGRATIONS);

test.each(VERSIONS)('data as %s left it comes through whole and can be used', async (version) => {
	const folder = await directoryOf(version);
	const before = contentOf(folder);
	const store = await temporaryStore(folder);
	const after = contentOf(folder);
	for (const [table, rows] of Object.entries(before)) expect(after[table]).toMatchObject(rows.map(kept));
	await expectEarlierRows(store);
	if (before.price_sheet !== undefined) {
		expect((await latestPrices(store))?.sheet.metals.copper?.price).toEqual(COPPER.price);
	}
	if (before.product_check !== undefined) expect(await listChecks(store, ['p'])).toHaveLength(1);
});

test('every table that an earlier version had holds a row in these tests', async () => {
	const before = contentOf(await directoryOf(VERSIONS.at(-2) ?? ''));
	const empty = Object.entries(before).filter(([, rows]) => rows.length === 0);
	expect(empty.map(([table]) => `add a row of ${table} to ROWS`)).toEqual([]);
});

test('data of a newer version is refused with every file as it was, even what an upload left', async () => {
	const folder = await temporaryFolder();
	await (await openStore(folder)).close();
	const handle = new Database(databasePath(folder));
	handle.prepare("insert into kysely_migration (name, timestamp) values ('9999-newer', '2030-01-01')").run();
	handle.exec('create table of_a_newer_version (id text)');
	handle.pragma('wal_checkpoint(truncate)');
	handle.close();
	writeFileSync(path.join(folder, 'incoming', 'half.part'), 'x');
	const files = () =>
		readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) => !/-(wal|shm)$/.test(name));
	const before = { files: files(), database: readFileSync(databasePath(folder)) };
	await expect(openStore(folder)).rejects.toMatchObject({ message: expect.stringContaining('another version') });
	expect({ files: files(), database: readFileSync(databasePath(folder)) }).toEqual(before);
});

test('a migration that fails half-way leaves the data as it was, and the next start goes on from there', async () => {
	const folder = await directoryOf(VERSIONS[0] ?? '');
	// a table in the way of a later migration
	const handle = new Database(databasePath(folder));
	handle.exec('create table product_check (in_the_way text)');
	handle.close();
	const before = contentOf(folder);
	await expect(openStore(folder)).rejects.toMatchObject({ code: 'storage' });
	expect(contentOf(folder)).toEqual(before);
	const again = new Database(databasePath(folder));
	again.exec('drop table product_check');
	again.close();
	expect(await listLots(await temporaryStore(folder))).toHaveLength(1);
});
