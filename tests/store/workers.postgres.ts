import { type ChildProcess, spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { readFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { sql } from 'kysely';
import { expect, onTestFinished, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { seededRandom } from '@/lib/quantity/seededRandom';
import type { AnalysedPhoto, AnalysisOptions } from '@/lib/store/analysis';
import { analysePhoto } from '@/lib/store/engine';
import { holdWaiting } from '@/lib/store/heldPhotos';
import { startReader } from '@/lib/store/photoReader';
import { choosePhotoReading, getPhoto } from '@/lib/store/photos';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { listRuns } from '@/lib/store/runs';
import { sharedJobs } from '@/lib/store/sharedJobs';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { Ledger } from './ledger';
import { freshDatabase, inPieces, storedRun } from './temporaryStore';

const BYTES = await readFile('demo-images/dev-run-tailings-tray1.jpg');
/** `KILLS=200 npm run test:postgres` asks for more. */
const KILLS = Number(process.env.KILLS ?? 4);
const THRESHOLD = { surface: 'auto', method: 'threshold' } as const;

/** A photo really read, once; what matters is who reads what. */
const READING: AnalysedPhoto = await analysePhoto(BYTES, {
	choice: THRESHOLD,
	material: BUILT_IN_MATERIALS[0],
	matScale: 1,
});

async function database(url: string): Promise<YardDatabase> {
	const yards = await openPostgres(url);
	onTestFinished(() => yards.close());
	return yards;
}

/** Photos of a yard, each with a name of its own, so that each has to be read for itself. */
async function send(yards: YardDatabase, yard: string, count: number): Promise<readonly string[]> {
	const store = yards.storeOf(yard);
	const { productId } = await storedRun(store);
	const ids: string[] = [];
	for (let n = 0; n < count; n++) {
		const sent = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: `${yard} ${n}.jpg` };
		// bytes after the picture's end make it another photo
		const bytes = Buffer.concat([BYTES, Buffer.from(sent.originalName)]);
		const { id } = await takeInPhoto(store, sent, inPieces(bytes, 262_144));
		await choosePhotoReading(store, id, THRESHOLD);
		ids.push(id);
	}
	return ids;
}

test('two workers and two yards: every photo is read, and read once', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const ids = new Map([
		['a', await send(yards, 'a', 12)],
		['b', await send(yards, 'b', 12)],
	]);
	const read: string[] = [];
	const pool = {
		size: 3,
		analysePhoto: async (bytes: Uint8Array) => {
			read.push(Buffer.from(bytes.subarray(BYTES.length)).toString());
			return READING;
		},
	};
	const readers = await Promise.all([1, 2].map(async () => startReader(sharedJobs(await database(url)), pool)));
	for (const { wake } of readers) wake();
	await Promise.all(readers.map(({ settled }) => settled()));
	expect(read).toHaveLength(24);
	expect(new Set(read).size).toBe(24);
	for (const [yard, sent] of ids) {
		for (const id of sent) expect((await getPhoto(yards.storeOf(yard), id)).state.kind).toBe('graded');
	}
});

test('a worker that shows no more signs of life loses its photo to another, and what it still says counts no more', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const [id] = await send(yards, 'a', 1);
	const slow = sharedJobs(await database(url));
	const taken = await slow.take();
	expect(taken?.id).toBe(id);
	const other = sharedJobs(await database(url));
	expect(await other.take()).toBeUndefined();
	await passTime(yards);
	await other.holdOn([]);
	expect((await other.take())?.id).toBe(id);
	expect(await slow.holdOn([taken?.claim ?? ''])).toEqual([taken?.claim]);
	await slow.finish(taken!, { state: 'refused', refused_message: 'late' });
	expect((await getPhoto(yards.storeOf('a'), id ?? '')).state.kind).toBe('reading');
});

test("a photo of a worker that ended before the server's clock was set back by a year is read by another", async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const [id] = await send(yards, 'a', 1);
	const jobs = sharedJobs(yards);
	expect((await jobs.take())?.id).toBe(id);
	await jobs.holdOn([]);
	expect(await jobs.take()).toBeUndefined();
	const inAYear = new Date(Date.now() + 365 * 86_400_000).toISOString();
	await yards.everyYard.updateTable('photo').set({ claimed_until: inAYear }).execute();
	await jobs.holdOn([]);
	expect((await jobs.take())?.id).toBe(id);
});

test('a photo that no program survives is refused, not given to one after the other', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const [id] = await send(yards, 'a', 1);
	const jobs = sharedJobs(yards);
	for (let taken = 0; taken < 3; taken++) {
		expect((await jobs.take())?.id).toBe(id);
		await passTime(yards);
		await jobs.holdOn([]);
	}
	expect(await jobs.take()).toBeUndefined();
	const { state } = await getPhoto(yards.storeOf('a'), id ?? '');
	expect(state).toMatchObject({ kind: 'refused', message: expect.stringContaining('broke off') });
	await choosePhotoReading(yards.storeOf('a'), id ?? '', THRESHOLD);
	expect((await jobs.take())?.id).toBe(id);
});

test('two yards with a photo of the same id: each is taken for itself, and word of one is not heard by the other', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const [id] = await send(yards, 'a', 1);
	const b = yards.storeOf('b');
	const { productId } = await storedRun(b);
	const sent = { id: id ?? '', spreadId: randomUUID(), productId, originalName: 'b.jpg' };
	await takeInPhoto(b, sent, inPieces(BYTES, 262_144));
	const jobs = sharedJobs(yards);
	const [first, second] = [await jobs.take(), await jobs.take()];
	expect([first?.id, second?.id]).toEqual([id, id]);
	expect([first?.store, second?.store]).toEqual([yards.storeOf('a'), b]);
	await jobs.putBack([second?.claim ?? '']);
	const states = async (yard: string) => (await getPhoto(yards.storeOf(yard), id ?? '')).state.kind;
	expect([await states('a'), await states('b')]).toEqual(['reading', 'queued']);
	let heardByB = 0;
	b.changes.listen(() => heardByB++);
	const heard = new Promise<void>((resolve) => yards.storeOf('a').changes.listen(resolve));
	yards.storeOf('a').changes.announce();
	await heard;
	expect(heardByB).toBe(0);
});

test('a program whose connections are all cut goes on, and hears what was said meanwhile', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const [yards, other] = [await database(url), await database(url)];
	const a = yards.storeOf('a');
	await storedRun(a);
	const heard = new Promise<void>((resolve) => yards.listen(resolve));
	await sql`select pg_terminate_backend(pid) from pg_stat_activity
    where datname = current_database() and pid <> pg_backend_pid()`.execute(other.everyYard);
	await heard;
	const word = new Promise<void>((resolve) => a.changes.listen(resolve));
	other.storeOf('a').changes.announce();
	await word;
	expect(await listRuns(a)).toHaveLength(1);
});

test('a person who stops the reading is heard by the worker, wherever it runs', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	await send(yards, 'a', 1);
	let begun = () => {};
	const reading = new Promise<void>((resolve) => {
		begun = resolve;
	});
	const pool = {
		size: 1,
		analysePhoto: (_: Uint8Array, __: AnalysisOptions, stop?: AbortSignal) =>
			new Promise<AnalysedPhoto>((_resolve, reject) => {
				stop?.addEventListener('abort', () => reject(new TrayError('stopped', 'left off', '')));
				begun();
			}),
	};
	const reader = await startReader(sharedJobs(await database(url)), pool);
	reader.wake();
	await reading;
	await holdWaiting(yards.storeOf('a'));
	await reader.holdOn();
	await reader.settled();
	const row = await yards.everyYard.selectFrom('photo').select(['state', 'held']).executeTakeFirst();
	expect(row).toEqual({ state: 'queued', held: 'stopped' });
});

/** As if a dead worker's time had run out. */
async function passTime({ everyYard }: YardDatabase): Promise<void> {
	await everyYard
		.updateTable('photo')
		.set({ claimed_until: '2000-01-01T00:00:00.000Z' })
		.where('state', '=', 'reading')
		.execute();
}

async function startWorker(url: string): Promise<ChildProcess> {
	const child = spawn(
		process.execPath,
		['--conditions=react-server', '--import', 'tsx', 'app/_command/worker.ts', '1'],
		{
			env: { ...process.env, DATABASE_URL: url },
			stdio: ['ignore', 'pipe', 'inherit'],
		},
	);
	onTestFinished(() => void child.kill('SIGKILL'));
	await once(createInterface({ input: child.stdout! }), 'line');
	return child;
}

/** Resolves when what the database says about its photos is so; looks when there is word of change. */
function seen(yards: YardDatabase, isSo: (states: readonly string[]) => boolean): Promise<void> {
	return new Promise((resolve, reject) => {
		const look = async () => {
			const rows = await yards.everyYard.selectFrom('photo').select('state').execute();
			if (!isSo(rows.map(({ state }) => state))) return;
			deaf();
			resolve();
		};
		const deaf = yards.listen(() => void look().catch(reject));
		look().catch(reject);
	});
}

test('of two real workers one is killed while it reads: the other reads everything, and nothing is lost', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const ids = await send(yards, 'a', 2);
	const first = await startWorker(url);
	await seen(yards, (states) => states.includes('reading'));
	const killed = once(first, 'exit');
	first.kill('SIGKILL');
	await killed;
	await passTime(yards);
	const second = await startWorker(url);
	yards.storeOf('a').changes.announce();
	await seen(yards, (states) => states.every((state) => state === 'graded'));
	for (const id of ids) expect((await getPhoto(yards.storeOf('a'), id)).state.kind).toBe('graded');
	const ended = once(second, 'exit');
	second.kill('SIGTERM');
	expect(await ended).toEqual([0, null]);
});

test('two instances on one database, one killed again and again: all that either acknowledged is there, nothing by half', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await database(url);
	const ledger = new Ledger();
	const random = seededRandom(1, 'instances');
	const run = async (seed: number, until: (said: number) => boolean) => {
		const child = spawn(
			process.execPath,
			['--conditions=react-server', '--import', 'tsx', 'tests/store/busyStore.ts', '', String(seed)],
			{ env: { ...process.env, DATABASE_URL: url }, stdio: ['ignore', 'pipe', 'inherit'] },
		);
		const ended = once(child, 'exit');
		let said = 0;
		for await (const line of createInterface({ input: child.stdout })) {
			ledger.note(JSON.parse(line));
			said++;
			if (until(said)) child.kill('SIGKILL');
		}
		expect(await ended).toEqual([null, 'SIGKILL']);
	};
	let kills = 0;
	const killedOften = async () => {
		for (; kills < KILLS; kills++) {
			const after = 1 + Math.floor(random.uniform() * 60);
			await run(kills, (said) => said === after);
		}
	};
	await Promise.all([run(1000, () => kills === KILLS), killedOften()]);
	await ledger.hold(yards.storeOf('home'));
	expect(ledger.told.photo, 'photos acknowledged').toBeGreaterThan(KILLS);
	const { rows } = await sql<{ halves: string }>`select count(*) as halves from photo where state = 'reading'`.execute(
		yards.everyYard,
	);
	expect(Number(rows[0]?.halves)).toBe(0);
	// each stands in line, once
	const { rows: standing } = await sql<{ photos: string; turns: string }>`select (select count(*) from photo) as photos,
    (select count(*) from pgboss.job join photo on photo.id = data ->> 'id' where pgboss.job.state = 'created') as turns`.execute(
		yards.everyYard,
	);
	expect(standing[0]?.turns).toBe(standing[0]?.photos);
}, 3_600_000);
