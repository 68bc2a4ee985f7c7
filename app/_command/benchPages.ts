import { spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { openStore, type Store } from '@/lib/store/database';
import { analysePhoto } from '@/lib/store/engine';
import { ENGINE_VERSION } from '@/lib/store/engineVersion';
import { readingChoiceSchema } from '@/lib/store/entries';
import { addLot } from '@/lib/store/lots';
import { listProducts } from '@/lib/store/products';
import { addRun } from '@/lib/store/runs';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { photoOf } from './benchPhoto';

const [LOTS, RUNS, SPREADS] = [100, 2000, 30_000];
const HOST = '127.0.0.1';

/** Enough for a hundredth to be several requests. */
const MOST_ROUNDS = 80;

/** Pages and exports of a server with years of runs, at rest and while it reads the demonstration's photos. */
export async function benchPages(say: (line: object) => void): Promise<void> {
	const directory = await mkdtemp(path.join(tmpdir(), 'deckside-bench-'));
	const { runId, lotId } = await fill(directory);
	const port = await freePort();
	const server = spawn(process.execPath, ['app/_command/serve.mjs', '--port', String(port)], {
		env: { ...process.env, DECKSIDE_DATA: directory },
		stdio: 'ignore',
	});
	try {
		const at = `http://${HOST}:${port}`;
		await answers(`${at}/api/ready`);
		const pages = [
			'/',
			'/runs',
			'/lots',
			`/lots/${lotId}`,
			`/runs/${runId}`,
			`/runs/${runId}/export/run.csv`,
			`/runs/${runId}/export/account.json`,
		];
		const waiting = await photosWaiting(directory);
		const busy = await rounds(at, pages, (round) => waiting() > 0 && round < MOST_ROUNDS);
		while (waiting() > 0) await new Promise((resolve) => setTimeout(resolve, 1000));
		const rest = await rounds(at, pages, (round) => round < 30);
		const [reading, atRest] = [busy, rest].map(({ all }) => ({
			requests: all.length,
			p50Ms: at50(all),
			p99Ms: at99(all),
		}));
		say({ what: 'answers', whilePhotosAreRead: reading, atRest });
		for (const [page, times] of rest.byPage)
			say({
				what: 'page',
				page: page.replace(runId, 'RUN').replace(lotId, 'LOT'),
				p50Ms: at50(times),
				p99Ms: at99(times),
			});
	} finally {
		server.kill();
		await rm(directory, { recursive: true, force: true });
	}
}

/** Years of runs, whose photos share one analysis, and the demonstration's photos waiting to be read. */
async function fill(directory: string): Promise<{ runId: string; lotId: string }> {
	const store = await openStore(directory);
	const choice = readingChoiceSchema.parse({ method: 'threshold' });
	const bytes = await photoOf(3);
	const { analysis } = await analysePhoto(bytes, {
		choice,
		material: BUILT_IN_MATERIALS[0],
		matScale: 1,
	});
	const now = new Date().toISOString();
	const key = 'bench';
	await store.db
		.insertInto('analysis')
		.values({ key, result: JSON.stringify(analysis), engine_version: ENGINE_VERSION, took_ms: 1000, created_at: now })
		.execute();
	const lots = Array.from({ length: LOTS }, () => randomUUID());
	for (const [i, id] of lots.entries())
		await addLot(store, id, {
			name: `Lot ${i}`,
			source: 'invented',
			receivedMassKg: 400,
			receivedUnit: 'kg',
			treatment: 'granulated only',
			notes: '',
		});
	const product = (run: string, position: number) => ({
		id: randomUUID(),
		run_id: run,
		name: `Bin ${position + 1}`,
		role: (['concentrate', 'middlings', 'tailings'] as const)[position]!,
		position,
		weighing: null,
		deleted_at: null,
	});
	const runs = Array.from({ length: RUNS }, () => randomUUID());
	const entry = {
		name: 'Run',
		runDate: '2026-03-05',
		settings: {},
		feed: {},
		notes: '',
		material: BUILT_IN_MATERIALS[0].name,
	};
	for (const [i, id] of runs.entries()) await addRun(store, id, lots[i % LOTS]!, { ...entry, name: `Run ${i}` }, []);
	const products = runs.flatMap((run) => [0, 1, 2].map((position) => product(run, position)));
	await inParts(products, (some) => store.db.insertInto('product').values(some).execute());
	const spreads = Array.from({ length: SPREADS }, (_, i) => ({
		id: randomUUID(),
		product_id: products[i % products.length]!.id,
		position: Math.floor(i / products.length),
		weighed_mass_kg: null,
		weighed_unit: 'g',
	}));
	await inParts(spreads, (some) => store.db.insertInto('spread').values(some).execute());
	const photos = spreads.map(({ id }) => ({
		id: randomUUID(),
		spread_id: id,
		sha256: 'f'.repeat(64),
		original_name: 'photo.jpg',
		size_bytes: 1,
		choice: JSON.stringify(choice),
		state: 'graded',
		refused_message: null,
		refused_hint: null,
		analysis_key: key,
		held: null,
		created_at: now,
		deleted_at: null,
	}));
	await inParts(photos, (some) => store.db.insertInto('photo').values(some).execute());
	await queueDemo(store, runs[0]!);
	await store.close();
	return { runId: runs[1]!, lotId: lots[LOTS - 1]! };
}

async function queueDemo(store: Store, runId: string): Promise<void> {
	const [first] = await listProducts(store, runId);
	if (first === undefined) throw new RangeError('the run has products');
	for (const name of (await readdir('demo-images')).filter((file) => file.endsWith('.jpg'))) {
		const bytes = await readFile(path.join('demo-images', name));
		await takeInPhoto(store, { id: randomUUID(), spreadId: randomUUID(), productId: first.id, originalName: name }, [
			bytes,
		]);
	}
}

async function inParts<Row>(rows: readonly Row[], insert: (some: readonly Row[]) => Promise<unknown>): Promise<void> {
	for (let at = 0; at < rows.length; at += 1000) await insert(rows.slice(at, at + 1000));
}

/** Every page in turn, round after round; the first is not counted, it works out and keeps what is asked for the first time. */
async function rounds(at: string, pages: readonly string[], goesOn: (round: number) => boolean) {
	const byPage = new Map<string, number[]>(pages.map((page) => [page, []]));
	for (let round = 0; round === 0 || goesOn(round); round++) {
		for (const page of pages) {
			const started = performance.now();
			const answer = await fetch(at + page);
			await answer.arrayBuffer();
			if (!answer.ok) throw new RangeError(`${page} answers ${answer.status}`);
			if (round > 0) byPage.get(page)?.push(performance.now() - started);
		}
	}
	return { byPage, all: [...byPage.values()].flat() };
}

/** Counts photos not yet read, beside the server that holds the directory. */
export async function photosWaiting(directory: string): Promise<() => number> {
	const { openReadOnly } = await import('@/lib/store/database');
	return () => {
		const { handle, close } = openReadOnly(directory);
		const row = handle.prepare("select count(*) from photo where state in ('queued', 'reading')").pluck().get();
		close();
		return Number(row);
	};
}

export async function answers(address: string): Promise<void> {
	for (let tries = 0; tries < 600; tries++) {
		const answer = await fetch(address).catch(() => undefined);
		if (answer?.ok) return;
		await new Promise((resolve) => setTimeout(resolve, 200));
	}
	throw new RangeError('the server does not answer; is it built?');
}

export function freePort(): Promise<number> {
	return new Promise((resolve, reject) => {
		const probe = createServer().once('error', reject);
		probe.listen(0, HOST, () => {
			const found = probe.address();
			probe.close(() => (typeof found === 'object' && found !== null ? resolve(found.port) : reject(found)));
		});
	});
}

/** The middle one of some times, ms. */
export function at50(times: readonly number[]): number {
	return quantile(times, 0.5);
}

/** The time that one in a hundred exceeds, ms. */
export function at99(times: readonly number[]): number {
	return quantile(times, 0.99);
}

function quantile(times: readonly number[], share: number): number {
	const sorted = [...times].sort((a, b) => a - b);
	return Math.round(sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN);
}
