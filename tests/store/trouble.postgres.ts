import { readdirSync } from 'node:fs';
import { sql } from 'kysely';
import { Client } from 'pg';
import { expect, onTestFinished, test, vi } from 'vitest';
import { getPhoto } from '@/lib/store/photos';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { getProduct, weighProduct } from '@/lib/store/products';
import { getBoard } from '@/lib/store/workedRun';
import { startPostgres } from './postgresServer';
import { sendTray } from './sentTray';
import { freshDatabase, storedRun } from './temporaryStore';

async function opened(url: string): Promise<YardDatabase> {
	const yards = await openPostgres(url);
	onTestFinished(() => yards.close());
	return yards;
}

/** Another program on the same database. */
async function other(url: string): Promise<Client> {
	const client = new Client({ connectionString: url });
	await client.connect();
	onTestFinished(() => client.end());
	return client;
}

function silence(): void {
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
}

test('a row that another program holds is told in a sentence before long, and can be saved once it lets go', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const store = (await opened(url)).storeOf('a');
	const { runId, productId } = await storedRun(store);
	const holder = await other(url);
	await holder.query('begin');
	await holder.query('select 1 from product for update');
	await expect(weighProduct(store, productId, { gross: '1 kg' })).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('Another program'),
	});
	expect((await getBoard(store, runId)).products).toHaveLength(4);
	await holder.query('rollback');
	await weighProduct(store, productId, { gross: '1 kg' });
	expect((await getProduct(store, productId)).weighing).toEqual({ gross: '1 kg' });
});

test('a program that starts while another brings the tables up to date waits for it', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	// within one transaction the server's view of who waits stands still
	const [holder, onlooker] = [await other(url), await other(url)];
	await holder.query('begin');
	await holder.query('lock table kysely_migration');
	const starting = openPostgres(url);
	// it stands in line at the server
	await vi.waitFor(async () => {
		const { rows } = await onlooker.query(
			"select 1 from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock'",
		);
		expect(rows).toHaveLength(1);
	}, 60_000);
	await holder.query('rollback');
	await (await starting).close();
});

test('a database that takes no changes shows what is in it and refuses changes in a sentence', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const before = await openPostgres(url);
	const { runId, productId } = await storedRun(before.storeOf('a'));
	await before.close();
	await (await other(url)).query(
		`alter database ${new URL(url).pathname.slice(1)} set default_transaction_read_only = on`,
	);
	const store = (await opened(url)).storeOf('a');
	expect((await getBoard(store, runId)).products).toHaveLength(4);
	const refused = { code: 'storage', message: expect.stringContaining('may not write') };
	await expect(weighProduct(store, productId, { gross: '1 kg' })).rejects.toMatchObject(refused);
	await expect(sendTray(store, productId)).rejects.toMatchObject(refused);
	expect(readdirSync(store.files.passing)).toEqual([]);
});

test('a photo that the full disk of the server cannot take is refused in a sentence, leaves nothing, and can be sent again', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await opened(url);
	const store = yards.storeOf('a');
	const { runId, productId } = await storedRun(store);
	// as the server says it when it can't make a table longer
	await sql`create function disk_is_full() returns trigger language plpgsql as $$
    begin raise exception 'could not extend file: No space left on device' using errcode = '53100'; end $$`.execute(
		yards.everyYard,
	);
	await sql`create trigger full_disk before insert on stored_file execute function disk_is_full()`.execute(
		yards.everyYard,
	);
	await expect(sendTray(store, productId)).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('full'),
		hint: expect.stringContaining('Make room'),
	});
	expect(readdirSync(store.files.passing)).toEqual([]);
	expect(await store.db.selectFrom('photo').selectAll().execute()).toEqual([]);
	expect((await getBoard(store, runId)).products).toHaveLength(4);
	await sql`drop trigger full_disk on stored_file`.execute(yards.everyYard);
	expect((await getPhoto(store, await sendTray(store, productId))).state.kind).toBe('queued');
});

test('a connection that breaks between two statements is told by the next, takes back what was under way and ends no program', async () => {
	silence();
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const store = (await opened(url)).storeOf('a');
	const { productId } = await storedRun(store);
	const onlooker = await other(url);
	const cut = store.db.transaction().execute(async (tx) => {
		await tx.updateTable('product').set({ name: 'Half-way' }).where('id', '=', productId).execute();
		await onlooker.query(
			"select pg_terminate_backend(pid, 60000) from pg_stat_activity where datname = current_database() and state = 'idle in transaction'",
		);
		await tx.updateTable('product').set({ name: 'Done' }).where('id', '=', productId).execute();
	});
	await expect(cut).rejects.toMatchObject({ message: 'The database server cannot be reached.' });
	expect((await getProduct(store, productId)).name).not.toBe('Half-way');
});

test('a server that stops while the program runs is told in a sentence with each request', async () => {
	silence();
	const server = await startPostgres();
	onTestFinished(server.stop);
	const store = (await opened(server.url)).storeOf('a');
	const { runId, productId } = await storedRun(store);
	await server.stop();
	const told = { code: 'storage', message: 'The database server cannot be reached.' };
	await expect(getBoard(store, runId)).rejects.toMatchObject(told);
	await expect(weighProduct(store, productId, { gross: '1 kg' })).rejects.toMatchObject(told);
	await expect(sendTray(store, productId)).rejects.toMatchObject(told);
	expect(readdirSync(store.files.passing)).toEqual([]);
});
