import { type ChildProcess, spawn } from 'node:child_process';
import { createHash, randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { existsSync, readFileSync } from 'node:fs';
import { request } from 'node:http';
import { createServer } from 'node:net';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { expect, test } from 'vitest';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { openStore } from '@/lib/store/database';
import { setSetting } from '@/lib/store/settings';
import { type Entry, Ledger } from './ledger';
import { storedRun, temporaryFolder } from './temporaryStore';

const KILLS = Number(process.env.KILLS ?? 12);
const HEAD = readFileSync('demo-images/dev-run-conc1-tray1.jpg').subarray(0, 60_000);

/** A product that values are sent to, by the addresses of its run and its own. */
interface Place {
	readonly runId: string;
	readonly photoProduct: string;
	readonly weightProduct: string;
}

/** Kills until another run is sent to: a run takes some hundred photos. */
const KILLS_A_RUN = 20;

async function prepare(directory: string): Promise<Place> {
	const store = await openStore(directory);
	await setSetting(store, 'demoOffered', 'yes');
	const { runId, products } = await storedRun(store);
	await store.close();
	return { runId, photoProduct: products[0]!.id, weightProduct: products[1]!.id };
}

async function freePort(): Promise<number> {
	const probe = createServer().listen(0, '127.0.0.1');
	await once(probe, 'listening');
	const address = probe.address();
	probe.close();
	if (address === null || typeof address === 'string') throw new Error('no port');
	return address.port;
}

/** The app as it is deployed, started and asked whether its data is open. */
async function startServer(directory: string): Promise<{ readonly child: ChildProcess; readonly address: string }> {
	const port = await freePort();
	const child = spawn(process.execPath, ['app/_command/serve.mjs', '--port', String(port)], {
		env: { ...process.env, DECKSIDE_DATA: directory },
		stdio: ['ignore', 'pipe', 'ignore'],
	});
	for await (const chunk of child.stdout ?? []) if (/ready/i.test(String(chunk))) break;
	const address = `http://127.0.0.1:${port}`;
	const ready = await fetch(`${address}/api/ready`);
	expect(ready.status, 'the app starts by itself').toBe(200);
	return { child, address };
}

type Say = (entry: Entry) => void;

async function sendPhoto(address: string, { photoProduct }: Place, say: Say): Promise<void> {
	const bytes = Buffer.concat([HEAD, Buffer.from(randomUUID())]);
	const sha256 = createHash('sha256').update(bytes).digest('hex');
	const id = randomUUID();
	async function* pieces() {
		for (let at = 0; at < bytes.length; at += 8192) {
			say({ step: 'sent', kind: 'piece' });
			yield bytes.subarray(at, at + 8192);
		}
	}
	say({ step: 'asked', kind: 'photo', id, sha256 });
	const query = new URLSearchParams({ product: photoProduct, spread: randomUUID(), name: 'tray.jpg' });
	const asked = request(`${address}/api/photos/${id}?${query}`, { method: 'PUT', headers: { 'x-sha256': sha256 } });
	const answered = once(asked, 'response');
	await Promise.all([pipeline(Readable.from(pieces()), asked), answered]);
	const [answer]: { statusCode?: number; resume(): void }[] = await answered;
	answer?.resume();
	expect(answer?.statusCode).toBe(201);
	say({ step: 'told', kind: 'photo', id, sha256 });
}

/** The weight form as a browser without scripts sends it. */
async function enterWeight(address: string, { runId, weightProduct }: Place, gross: string, say: Say): Promise<void> {
	const page = `${address}/runs/${runId}/products/${weightProduct}/weigh`;
	const html = await (await fetch(page)).text();
	const form = new FormData();
	const own = html.slice(html.indexOf('<form', html.indexOf('<main')));
	for (const [, attributes] of own.matchAll(/<input([^>]*type="hidden"[^>]*)>/g)) {
		const of = (name: string) => new RegExp(`${name}="([^"]*)"`).exec(attributes ?? '')?.[1]?.replaceAll('&quot;', '"');
		form.set(of('name') ?? '', of('value') ?? '');
	}
	form.set('gross', gross);
	form.set('unit', 'kg');
	form.set('moistureKind', 'dry');
	say({ step: 'asked', kind: 'weight', id: weightProduct, gross });
	const answer = await fetch(page, { method: 'POST', body: form, redirect: 'manual' });
	expect(answer.status).toBe(303);
	say({ step: 'told', kind: 'weight', id: weightProduct, gross });
}

/** Three senders until so many things were said, then the kill; what is under way then ends in an error of the connection. */
async function workAndKill(directory: string, place: Place, after: number, ledger: Ledger, kill: number) {
	const { child, address } = await startServer(directory);
	let [said, killed] = [0, false];
	const say: Say = (entry) => {
		ledger.note(entry);
		said++;
		if (said !== after) return;
		killed = true;
		child.kill('SIGKILL');
	};
	const keepOn = async (send: (times: number) => Promise<void>) => {
		for (let times = 0; !killed; times++) {
			await send(times).catch((error: unknown) => {
				if (!killed) throw error;
			});
		}
	};
	const ended = once(child, 'exit');
	await Promise.all([
		keepOn(() => sendPhoto(address, place, say)),
		keepOn(() => sendPhoto(address, place, say)),
		keepOn((times) => enterWeight(address, place, `${kill + 1}.${times + 1}`, say)),
	]);
	expect(await ended).toEqual([null, 'SIGKILL']);
}

test(`the app killed ${KILLS} times during uploads and edits starts by itself and has all it acknowledged`, async () => {
	expect(existsSync('.next/BUILD_ID'), 'build the app first: npm run build').toBe(true);
	const directory = await temporaryFolder();
	let place = await prepare(directory);
	const random = seededRandom(KILLS, 'server kills');
	const ledger = new Ledger();
	for (let kill = 0; kill < KILLS; kill++) {
		if (kill % KILLS_A_RUN === KILLS_A_RUN - 1) place = await prepare(directory);
		await workAndKill(directory, place, 1 + Math.floor(random.uniform() * 60), ledger, kill);
		const store = await openStore(directory);
		await ledger.hold(store);
		await store.close();
	}
	expect(ledger.told.photo, 'photos acknowledged').toBeGreaterThan(KILLS / 2);
	expect(ledger.told.weight, 'weights acknowledged').toBeGreaterThan(KILLS / 2);
	console.log(`acknowledged and there after ${KILLS} kills: ${JSON.stringify(ledger.told)}`);
}, 7_200_000);
