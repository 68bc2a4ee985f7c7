import { randomUUID } from 'node:crypto';
import { sql } from 'kysely';
import { Client } from 'pg';
import { expect, onTestFinished, test, vi } from 'vitest';
import { holdWaiting, releaseStopped } from '@/lib/store/heldPhotos';
import type { PhotoJobs } from '@/lib/store/photoJobs';
import { addPhoto, choosePhotoReading, getPhoto, removePhoto, restorePhoto } from '@/lib/store/photos';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { openQuickCheck } from '@/lib/store/quickChecks';
import { sharedJobs } from '@/lib/store/sharedJobs';
import { startPostgres } from './postgresServer';
import { BY_COLOURS } from './sentTray';
import { freshDatabase, storedRun } from './temporaryStore';

async function opened(url: string): Promise<YardDatabase> {
	const yards = await openPostgres(url);
	onTestFinished(() => yards.close());
	return yards;
}

/** A database with photos that wait, and who hands them out. */
async function waiting(count: number, url?: string) {
	const yards = await opened(url ?? (await freshDatabase(process.env.TEST_DATABASE_URL ?? '')));
	const store = yards.storeOf('a');
	const { productId } = await storedRun(store);
	const ids: string[] = [];
	for (let n = 0; n < count; n++) ids.push(await add(yards, 'a', productId));
	return { yards, store, productId, ids, jobs: sharedJobs(yards) };
}

const anySha256 = () => randomUUID().replaceAll('-', '').repeat(2);

/** A row is enough: what matters here is who reads it. */
function add(yards: YardDatabase, yard: string, productId: string): Promise<string> {
	const photo = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: 'tray.jpg' };
	return addPhoto(yards.storeOf(yard), photo, { sha256: anySha256(), sizeBytes: 9 });
}

async function other(url: string): Promise<Client> {
	const client = new Client({ connectionString: url });
	await client.connect();
	onTestFinished(() => client.end());
	return client;
}

/** Ids in the order in which they are handed out, until nobody waits. */
async function allTaken(jobs: PhotoJobs): Promise<readonly string[]> {
	const ids: string[] = [];
	for (let job = await jobs.take(); job !== undefined; job = await jobs.take()) ids.push(job.id);
	return ids;
}

/** As if so much time had passed since the photos were taken. */
async function passHours({ everyYard }: YardDatabase, hours: number): Promise<void> {
	await sql`update pgboss.job set started_on = started_on - ${hours} * interval '1 hour' where state = 'active'`.execute(
		everyYard,
	);
}

async function passLease({ everyYard }: YardDatabase): Promise<void> {
	await everyYard
		.updateTable('photo')
		.set({ claimed_until: '2000-01-01T00:00:00.000Z' })
		.where('state', '=', 'reading')
		.execute();
}

/** How many turns are in each state. */
async function turns({ everyYard }: YardDatabase): Promise<Readonly<Record<string, number>>> {
	const { rows } = await sql<{ state: string; turns: string }>`select state, count(*) as turns from pgboss.job
    group by state`.execute(everyYard);
	return Object.fromEntries(rows.map((row) => [row.state, Number(row.turns)]));
}

/** Resolves once a statement waits at the server for another's lock. */
async function somebodyWaits(url: string): Promise<void> {
	const onlooker = await other(url);
	await vi.waitFor(async () => {
		const { rows } = await onlooker.query(
			"select 1 from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock'",
		);
		expect(rows).not.toEqual([]);
	}, 60_000);
}

test('photos are handed out oldest first, quick checks before them, and one that is put back keeps its place', async () => {
	const { yards, store, productId, ids, jobs } = await waiting(3);
	const check = randomUUID();
	await openQuickCheck(store, check);
	const quick = await add(yards, 'a', check);
	const first = await jobs.take();
	expect(first?.id).toBe(quick);
	const second = await jobs.take();
	expect(second?.id).toBe(ids[0]);
	const last = await add(yards, 'a', productId);
	await jobs.putBack([second?.claim ?? '']);
	expect(await allTaken(jobs)).toEqual([...ids, last]);
	expect(await turns(yards)).toEqual({ active: 5, completed: 1 });
});

test('a photo that its transaction takes back was never in the line', async () => {
	const { yards, store, jobs } = await waiting(1);
	const back = store.db.transaction().execute(async (tx) => {
		const row = await tx.selectFrom('photo').selectAll().executeTakeFirstOrThrow();
		await tx
			.insertInto('photo')
			.values({ ...row, id: 'never' })
			.execute();
		throw new Error('taken back');
	});
	await expect(back).rejects.toThrow('taken back');
	expect(await turns(yards)).toEqual({ created: 1 });
	expect(await allTaken(jobs)).toHaveLength(1);
});

test('a photo that is sent twice and asked for again while it waits stands in line once', async () => {
	const { yards, store, productId, ids, jobs } = await waiting(1);
	const photo = { id: ids[0] ?? '', spreadId: randomUUID(), productId, originalName: 'tray.jpg' };
	await addPhoto(store, photo, { sha256: anySha256(), sizeBytes: 9 });
	await choosePhotoReading(store, photo.id, BY_COLOURS);
	expect(await turns(yards)).toEqual({ created: 1 });
	expect(await allTaken(jobs)).toEqual(ids);
});

test('a photo that is asked for again while it is read is read again; its first outcome counts no more', async () => {
	const { yards, store, ids, jobs } = await waiting(1);
	const first = await jobs.take();
	await choosePhotoReading(store, ids[0] ?? '', BY_COLOURS);
	const second = await jobs.take();
	expect(second?.id).toBe(ids[0]);
	await jobs.finish(first!, { state: 'graded', analysis_key: 'early' });
	expect((await getPhoto(store, ids[0] ?? '')).state.kind).toBe('reading');
	await jobs.finish(second!, { state: 'graded', analysis_key: 'late' });
	expect((await getPhoto(store, ids[0] ?? '')).state).toEqual({ kind: 'graded', analysisKey: 'late' });
	expect(await turns(yards)).toEqual({ completed: 2 });
});

test('photos that are stopped or removed leave the line, and stand in it once more when they are let go', async () => {
	const { yards, store, ids, jobs } = await waiting(3);
	await removePhoto(store, ids[0] ?? '');
	for (let often = 0; often < 3; often++) {
		expect(await holdWaiting(store)).toEqual(expect.arrayContaining(ids.slice(1)));
		expect(await jobs.take()).toBeUndefined();
		expect(await turns(yards)).toEqual({});
		await releaseStopped(store);
	}
	await restorePhoto(store, ids[0] ?? '');
	expect(await turns(yards)).toEqual({ created: 3 });
	expect(await allTaken(jobs)).toEqual(ids);
});

test('a turn whose photo does not wait, or is gone, is ended and the next is taken', async () => {
	const { yards, store, ids, jobs } = await waiting(4);
	// as if another had written past the line
	await sql`alter table photo disable trigger user`.execute(yards.everyYard);
	await sql`delete from photo where id = ${ids[0]}`.execute(yards.everyYard);
	await sql`update photo set held = 'stopped' where id = ${ids[1]}`.execute(yards.everyYard);
	await sql`update photo set state = 'graded' where id = ${ids[2]}`.execute(yards.everyYard);
	await sql`alter table photo enable trigger user`.execute(yards.everyYard);
	expect(await allTaken(jobs)).toEqual([ids[3]]);
	expect(await turns(yards)).toEqual({ completed: 3, active: 1 });
	await releaseStopped(store);
	expect(await allTaken(jobs)).toEqual([ids[1]]);
});

test('a photo that waits without a turn gets one when a worker starts; one whose turn was lost while it was read, when it lapses', async () => {
	const { yards, ids, jobs } = await waiting(2);
	const taken = await jobs.take();
	await sql`delete from pgboss.job`.execute(yards.everyYard);
	expect(await jobs.take()).toBeUndefined();
	await jobs.start();
	expect(await allTaken(jobs)).toEqual([ids[1]]);
	await passLease(yards);
	await jobs.holdOn([]);
	expect(await allTaken(jobs)).toEqual(ids);
	expect(await jobs.holdOn([taken?.claim ?? ''])).toEqual([taken?.claim]);
});

test('putting a photo back, as a worker does that is stopped, does not count as not surviving it', async () => {
	const { ids, jobs } = await waiting(1);
	for (let often = 0; often < 5; often++) {
		const job = await jobs.take();
		expect(job?.id).toBe(ids[0]);
		await jobs.putBack([job?.claim ?? '']);
	}
	expect(await allTaken(jobs)).toEqual(ids);
});

test('a photo that takes longer than any does is given to another, and its first reader hears of it', async () => {
	const { yards, store, ids, jobs } = await waiting(1);
	const first = await jobs.take();
	await passHours(yards, 2);
	await yards.line.maintain();
	const second = await sharedJobs(yards).take();
	expect(second?.id).toBe(ids[0]);
	expect(await jobs.holdOn([first?.claim ?? '', second?.claim ?? ''])).toEqual([first?.claim]);
	await jobs.finish(first!);
	await jobs.finish(second!, { state: 'graded', analysis_key: 'k' });
	expect((await getPhoto(store, ids[0] ?? '')).state.kind).toBe('graded');
	expect(await turns(yards)).toEqual({ completed: 1 });
	await sql`update pgboss.job set completed_on = completed_on - interval '2 hours'`.execute(yards.everyYard);
	await yards.line.maintain();
	expect(await turns(yards)).toEqual({});
});

test('a photo that is let go in the moment its stale turn is taken is not lost', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const { yards, ids, jobs } = await waiting(1, url);
	await sql`alter table photo disable trigger user`.execute(yards.everyYard);
	await sql`update photo set held = 'stopped'`.execute(yards.everyYard);
	await sql`alter table photo enable trigger user`.execute(yards.everyYard);
	const person = await other(url);
	await person.query('begin');
	await person.query('update photo set held = null');
	const taking = jobs.take();
	await somebodyWaits(url);
	await person.query('commit');
	expect((await taking)?.id).toBe(ids[0]);
});

test('whoever changes a photo that is being taken waits for nobody who waits for them', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const { yards, ids, jobs } = await waiting(1, url);
	const person = await other(url);
	await person.query('begin');
	await person.query('update photo set original_name = original_name');
	const taking = jobs.take();
	await somebodyWaits(url);
	// each of these would have to wait for the one who takes, were the place in line asked for by force
	await person.query("update photo set state = 'queued'");
	await person.query("update photo set held = 'stopped'");
	await person.query('update photo set held = null');
	await person.query('commit');
	expect((await taking)?.id).toBe(ids[0]);
	expect(await allTaken(jobs)).toEqual([]);
	expect((await turns(yards)).active).toBe(1);
});

test('trouble with the server is told, not taken for an empty line', async () => {
	const logged = vi.spyOn(console, 'error').mockImplementation(() => undefined);
	onTestFinished(() => logged.mockRestore());
	const server = await startPostgres();
	onTestFinished(server.stop);
	const { yards, jobs } = await waiting(1, server.url);
	await yards.line.start();
	await sql`alter table pgboss.job rename to gone`.execute(yards.everyYard);
	await expect(jobs.take()).rejects.toThrow('pgboss.job');
	await server.stop();
	await expect(jobs.take()).rejects.toMatchObject({ message: 'The database server cannot be reached.' });
	// what the package meets while it clears away ends no program
	yards.line.emit('error', new Error('as met while clearing away'));
	expect(logged).toHaveBeenCalledWith(expect.stringContaining('could not be cleared'), 'as met while clearing away');
});

test('a line that a newer version of the package made is refused and left as it was', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const client = await other(url);
	await client.query('update pgboss.version set version = version + 1');
	await expect(openPostgres(url)).rejects.toMatchObject({ message: expect.stringContaining('another version') });
});
