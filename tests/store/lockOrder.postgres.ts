import { sql } from 'kysely';
import { Client } from 'pg';
import { expect, onTestFinished, test, vi } from 'vitest';
import type { Store } from '@/lib/store/database';
import { removeDemo } from '@/lib/store/demo';
import { holdWaiting } from '@/lib/store/heldPhotos';
import { addLot, changeLot } from '@/lib/store/lots';
import { DEFAULT_MATERIAL_NAME } from '@/lib/store/materials';
import { openPostgres } from '@/lib/store/postgres';
import { listProducts, weighProduct } from '@/lib/store/products';
import { requeueMaterial } from '@/lib/store/readAnew';
import { addRun } from '@/lib/store/runs';
import { sharedJobs } from '@/lib/store/sharedJobs';
import { freshDatabase, LOT, RUN } from './temporaryStore';

const YARD = 'a';
const SHA256 = 'ab'.repeat(32);

/**
 * A yard with a lot `lot`, and the line to its server beside it, which can hold a row until it is let go.
 *
 * @param unused - further ways in which the server finds no rows
 */
async function yardToHold(...unused: readonly string[]) {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const [holder, onlooker] = [new Client({ connectionString: url }), new Client({ connectionString: url })];
	for (const client of [holder, onlooker]) {
		await client.connect();
		onTestFinished(() => client.end());
	}
	// as with many rows: through all of them as they lie
	for (const way of ['indexscan', 'bitmapscan', 'nestloop', ...unused])
		await holder.query(`alter database ${new URL(url).pathname.slice(1)} set enable_${way} = off`);
	const yards = await openPostgres(url);
	onTestFinished(() => yards.close());
	const store = yards.storeOf(YARD);
	await addLot(store, 'lot', LOT);
	return {
		yards,
		store,
		/** A photo's place in the line is made, and not yet there for others. */
		lineUp: async (photo: string) => {
			await holder.query('begin');
			await holder.query('select line_up_photo(photo) from photo where id = $1', [photo]);
		},
		hold: async (table: string, id: string) => {
			await holder.query('begin');
			await holder.query(`select 1 from ${table} where ${table === 'run_change' ? 'run_id' : 'id'} = $1 for update`, [
				id,
			]);
		},
		letGo: () => holder.query('commit'),
		/** Resolves once so many statements wait for another's lock. */
		wait: (statements: number) =>
			vi.waitFor(async () => {
				const { rows } = await onlooker.query(
					"select 1 from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock'",
				);
				expect(rows).toHaveLength(statements);
			}, 60_000),
	};
}

/** A run with one bin, whose one photo is read. */
async function readRun(store: Store, id: string, demo = false): Promise<void> {
	await addRun(store, id, 'lot', { ...RUN, name: id }, [{ name: 'Bin', role: 'concentrate' }], demo);
	const [bin] = await listProducts(store, id);
	await sql`insert into spread (yard_id, id, product_id, position, weighed_mass_kg, weighed_unit)
		values (${YARD}, ${`spread of ${id}`}, ${bin!.id}, 0, null, 'g')`.execute(store.db);
}

/** @param id - photos are found by it, or as they lie */
async function addPhotoTo(store: Store, runId: string, id: string, state: string): Promise<void> {
	await sql`insert into photo (yard_id, id, spread_id, sha256, original_name, size_bytes, choice, state, created_at)
		values (${YARD}, ${id}, ${`spread of ${runId}`}, ${SHA256}, 'tray.jpg', 9, '{}', ${state}, '2026-03-05T10:00:00.000Z')`.execute(
		store.db,
	);
}

test.each([
	['a material is taught', 'graded', (store: Store) => requeueMaterial(store, DEFAULT_MATERIAL_NAME)],
	['all reading is stopped', 'queued', (store: Store) => holdWaiting(store)],
])('a lot can be changed while %s, whatever order its runs and their photos lie in', async (_, state, work) => {
	const { store, hold, letGo, wait } = await yardToHold();
	for (const id of ['a', 'k', 'z']) await readRun(store, id);
	await addPhotoTo(store, 'z', 'photo 1', state);
	await addPhotoTo(store, 'a', 'photo 2', state);
	await hold('run_change', 'k');
	const changed = changeLot(store, 'lot', { ...LOT, name: 'Lot B' });
	await wait(1);
	const worked = work(store);
	await wait(2);
	await letGo();
	expect((await Promise.allSettled([changed, worked])).map(({ status }) => status)).toEqual(['fulfilled', 'fulfilled']);
});

test('the demonstration can be removed while one of its bins is weighed', async () => {
	const { store, hold, letGo, wait } = await yardToHold();
	await readRun(store, 'demo', true);
	await addPhotoTo(store, 'demo', 'photo', 'graded');
	const [bin] = await listProducts(store, 'demo');
	await hold('spread', 'spread of demo');
	const removed = removeDemo(store);
	await wait(1);
	const weighed = weighProduct(store, bin!.id, { gross: '5 kg' });
	await wait(2);
	await letGo();
	expect((await Promise.allSettled([removed, weighed])).map(({ status }) => status)).toEqual([
		'fulfilled',
		'fulfilled',
	]);
});

test('photos are held in the order of their ids before they are read anew, whatever order they lie in', async () => {
	const { store, hold, letGo, wait } = await yardToHold();
	for (const [n, id] of ['a', 'k', 'z'].entries()) {
		await readRun(store, id);
		await addPhotoTo(store, id, `photo ${3 - n}`, 'graded');
	}
	await hold('photo', 'photo 2');
	const read = requeueMaterial(store, DEFAULT_MATERIAL_NAME);
	await wait(1);
	const { rows } = await sql<{
		id: string;
	}>`select id from photo where yard_id = ${YARD} order by id for update skip locked`.execute(store.db);
	expect(rows).toEqual([{ id: 'photo 3' }]);
	await letGo();
	await read;
});

test('a worker can start while photos are read anew, whatever order those without a place in the line lie in', async () => {
	const { yards, store, lineUp, letGo, wait } = await yardToHold('hashjoin');
	for (const [n, id] of ['a', 'k', 'z'].entries()) {
		await readRun(store, id);
		await addPhotoTo(store, id, `photo ${3 - n}`, 'queued');
	}
	await sql`delete from pgboss.job`.execute(store.db);
	await lineUp('photo 2');
	const started = sharedJobs(yards).start();
	await wait(1);
	const read = requeueMaterial(store, DEFAULT_MATERIAL_NAME);
	await wait(2);
	await letGo();
	expect((await Promise.allSettled([started, read])).map(({ status }) => status)).toEqual(['fulfilled', 'fulfilled']);
});
