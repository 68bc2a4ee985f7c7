import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fillYard } from './benchYard';

const HOST = '127.0.0.1';

/** Enough for a hundredth to be several requests. */
const MOST_ROUNDS = 80;

/** Pages and exports of a server with years of runs, at rest and while it reads the demonstration's photos. */
export async function benchPages(say: (line: object) => void): Promise<void> {
	const directory = await mkdtemp(path.join(tmpdir(), 'deckside-bench-'));
	const { run, product, lot, longLot, runs, record } = await fillYard(directory);
	const port = await freePort();
	const server = spawn(process.execPath, ['app/_command/serve.mjs', '--port', String(port)], {
		env: { ...process.env, DECKSIDE_DATA: directory },
		stdio: 'ignore',
	});
	try {
		const at = `http://${HOST}:${port}`;
		await answers(`${at}/api/ready`);
		const names = { [longLot]: 'LONG', [lot]: 'LOT', [product]: 'BIN', [run]: 'RUN', [record]: 'RECORD' };
		const several = runs.map((id) => `run=${id}`).join('&');
		const pages = [
			'/',
			'/runs',
			'/lots',
			`/lots/${lot}`,
			`/lots/${longLot}`,
			`/lots/${longLot}/history.csv`,
			`/compare/settings?lot=${longLot}`,
			`/compare/settings/effects.csv?lot=${longLot}`,
			`/compare?lot=${longLot}`,
			`/compare?${several}`,
			`/runs/${run}`,
			`/runs/${run}/export/run.csv`,
			`/runs/${run}/export/account.json`,
			`/runs/${run}/products/${product}/checks`,
			'/runs/new',
			'/materials',
			'/records',
			`/records/${record}`,
			`/records/${record}/A4.pdf`,
		];
		const waiting = await photosWaiting(directory);
		const spent = () => spentByAnsweringThread(server.pid);
		const busy = await rounds(at, pages, spent, (round) => waiting() > 0 && round < MOST_ROUNDS);
		while (waiting() > 0) await new Promise((resolve) => setTimeout(resolve, 1000));
		const rest = await rounds(at, pages, spent, (round) => round < 30);
		const told = (answers: readonly Answer[]) => ({
			p50Ms: at50(answers.map(({ ms }) => ms)),
			p99Ms: at99(answers.map(({ ms }) => ms)),
			// where it can be told, what a machine that others keep busy says truly
			processorP50Ms: at50(answers.flatMap(({ processorMs }) => processorMs)),
			processorP99Ms: at99(answers.flatMap(({ processorMs }) => processorMs)),
		});
		const [reading, atRest] = [busy, rest].map((answers) => ({
			requests: [...answers.values()].flat().length,
			...told([...answers.values()].flat()),
		}));
		say({ what: 'answers', whilePhotosAreRead: reading, atRest });
		for (const [page, answers] of rest) {
			const named = Object.entries(names).reduce((text, [id, name]) => text.replaceAll(id, name), page);
			say({ what: 'page', page: named, ...told(answers), whilePhotosAreRead: told(busy.get(page) ?? []) });
		}
	} finally {
		server.kill();
		await rm(directory, { recursive: true, force: true });
	}
}

/** How long an answer took by the clock, and how long the thread that answers worked at it. */
interface Answer {
	readonly ms: number;
	readonly processorMs: readonly number[];
}

/** Every page in turn, round after round; the first is not counted, it works out and keeps what is asked for the first time. */
async function rounds(
	at: string,
	pages: readonly string[],
	spent: () => number | undefined,
	goesOn: (round: number) => boolean,
): Promise<ReadonlyMap<string, readonly Answer[]>> {
	const byPage = new Map<string, Answer[]>(pages.map((page) => [page, []]));
	for (let round = 0; round === 0 || goesOn(round); round++) {
		for (const page of pages) {
			const [started, before] = [performance.now(), spent()];
			const answer = await fetch(at + page);
			await answer.arrayBuffer();
			if (!answer.ok) throw new RangeError(`${page} answers ${answer.status}`);
			const [ms, after] = [performance.now() - started, spent()];
			const processorMs = before === undefined || after === undefined ? [] : [after - before];
			if (round > 0) byPage.get(page)?.push({ ms, processorMs });
		}
	}
	return byPage;
}

/**
 * Processor time of a program's first thread, ms; undefined where the system does not tell it.
 *
 * @source Linux, Documentation/scheduler/sched-stats.rst: the first number of schedstat, nanoseconds
 */
function spentByAnsweringThread(pid: number | undefined): number | undefined {
	const file = `/proc/${pid}/task/${pid}/schedstat`;
	return existsSync(file) ? Number(readFileSync(file, 'utf8').split(' ')[0]) / 1e6 : undefined;
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
