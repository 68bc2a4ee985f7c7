import { randomUUID } from 'node:crypto';
import { Kysely, Migrator, PostgresDialect, sql } from 'kysely';
import { Client, Pool } from 'pg';
import { expect, onTestFinished, test } from 'vitest';
import { listChecks } from '@/lib/store/checks';
import { MIGRATIONS } from '@/lib/store/database';
import { HOME_YARD } from '@/lib/store/ownYard';
import { prepareLine } from '@/lib/store/photoLine';
import { openPostgres } from '@/lib/store/postgres';
import { latestPrices } from '@/lib/store/prices';
import { sharedJobs } from '@/lib/store/sharedJobs';
import { COPPER, expectEarlierRows, kept, ROWS } from './earlierRows';
import { addressOf } from './postgresServer';

/** Those before were never on a server. */
const VERSIONS = Object.keys(MIGRATIONS).filter((name) => name >= '0011');

/** From here on photos that wait stand in a line beside their rows, which a package keeps. */
const LINED_UP = '0014';

type Content = Readonly<Record<string, readonly unknown[]>>;

async function emptyDatabase(): Promise<string> {
	const server = process.env.TEST_DATABASE_URL ?? '';
	const name = `test_${randomUUID().replaceAll('-', '')}`;
	const client = new Client({ connectionString: server });
	await client.connect();
	await client.query(`create database ${name}`);
	await client.end();
	return addressOf(server, name);
}

/** A database as the version whose last migration this was left it, with a row in every table that a data directory had. */
async function databaseOf(
	version: string,
): Promise<{ readonly url: string; readonly content: () => Promise<Content> }> {
	const url = await emptyDatabase();
	const pool = new Pool({ connectionString: url });
	const db = new Kysely<unknown>({ dialect: new PostgresDialect({ pool }) });
	onTestFinished(() => db.destroy());
	if (version >= LINED_UP) await prepareLine({ executeSql: (text, values) => pool.query(text, values) });
	const { error } = await new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } }).migrateTo(version);
	expect(error).toBeUndefined();
	for (const [table, row] of ROWS) {
		const columns = Object.keys(row).map((name) => sql.ref(name));
		await sql`insert into ${sql.table(table)} (${sql.join(columns)}) values (${sql.join(Object.values(row))})`.execute(
			db,
		);
	}
	const content = async () => {
		const rows = ROWS.map(async ([table]) => {
			const found = await sql`select * from ${sql.table(table)}`.execute(db);
			return [table, found.rows] as const;
		});
		return Object.fromEntries(await Promise.all(rows));
	};
	return { url, content };
}

test.each(VERSIONS)('a database as %s left it comes through whole and can be used', async (version) => {
	const { url, content } = await databaseOf(version);
	const before = await content();
	const yards = await openPostgres(url);
	onTestFinished(() => yards.close());
	const after = await content();
	for (const [table, rows] of Object.entries(before)) expect(after[table]).toMatchObject(rows.map(kept));
	const store = yards.storeOf(HOME_YARD);
	await expectEarlierRows(store);
	expect((await latestPrices(store))?.sheet.metals.copper?.price).toEqual(COPPER.price);
	expect(await listChecks(store, ['p'])).toHaveLength(1);
});

test.each(VERSIONS)('photos that a database as %s left it was to read are read', async (version) => {
	const { url } = await databaseOf(version);
	const client = new Client({ connectionString: url });
	await client.connect();
	const copy = (id: string, standing: string) =>
		client.query(`insert into photo (id, spread_id, sha256, original_name, size_bytes, choice, created_at, state, held, deleted_at,
      claimed_by, claimed_until) select '${id}', spread_id, sha256, original_name, size_bytes, choice, created_at, ${standing} from photo
      where id = 'f'`);
	await copy('g', "'queued', null, null, null, null");
	await copy('h', "'reading', null, null, gen_random_uuid()::text, '2026-03-05T10:00:00.000Z'");
	await copy('i', "'queued', 'stopped', null, null, null");
	await copy('j', "'queued', null, '2026-03-05T10:00:00.000Z', null, null");
	await client.end();
	const yards = await openPostgres(url);
	onTestFinished(() => yards.close());
	const jobs = sharedJobs(yards);
	expect((await jobs.take())?.id).toBe('g');
	expect(await jobs.take()).toBeUndefined();
	// its reader is long gone
	await jobs.start();
	expect((await jobs.take())?.id).toBe('h');
	expect(await jobs.take()).toBeUndefined();
});

test('of programs that start at once on an empty database one makes the tables, and all start', async () => {
	const url = await emptyDatabase();
	const started = await Promise.all([1, 2, 3, 4, 5, 6].map(() => openPostgres(url)));
	for (const yards of started) onTestFinished(() => yards.close());
	expect(await sharedJobs(started[0]!).take()).toBeUndefined();
});

test('a database of a newer version is refused and left as it was', async () => {
	const { url, content } = await databaseOf(VERSIONS.at(-1) ?? '');
	const client = new Client({ connectionString: url });
	await client.connect();
	await client.query("insert into kysely_migration (name, timestamp) values ('9999-newer', '2030-01-01')");
	await client.end();
	const before = await content();
	await expect(openPostgres(url)).rejects.toMatchObject({ message: expect.stringContaining('another version') });
	expect(await content()).toEqual(before);
});
