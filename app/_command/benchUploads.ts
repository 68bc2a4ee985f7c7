import { spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { openStore } from '@/lib/store/database';
import { addLot } from '@/lib/store/lots';
import { listProducts } from '@/lib/store/products';
import { addRun } from '@/lib/store/runs';
import { setSetting } from '@/lib/store/settings';
import { answers, at50, at99, freePort, photosWaiting } from './benchPages';

const PHOTOS = 60;

/** Long enough for some hundred answers; reading all photos takes several times as long, and the rest is more of the same. */
const MOST_MS = 90_000;

/** Between two answers, as long as somebody takes to look: asked without pause, two cores would read hardly a photo. */
const PAUSE_MS = 100;

/** Pages asked one after the other while 60 photos are sent at once into one run and read: those of the run that is read, and others. */
export async function benchUploads(say: (line: object) => void): Promise<void> {
	const directory = await mkdtemp(path.join(tmpdir(), 'deckside-bench-'));
	const { runId, otherId, productIds } = await fill(directory);
	const port = await freePort();
	const server = spawn(process.execPath, ['app/_command/serve.mjs', '--port', String(port)], {
		env: { ...process.env, DECKSIDE_DATA: directory },
		stdio: 'ignore',
	});
	try {
		const at = `http://127.0.0.1:${port}`;
		await answers(`${at}/api/ready`);
		const ofRun = [`/runs/${runId}`, `/runs/${runId}/products/${productIds[0]}`, `/runs/${runId}/table`];
		const others = ['/', '/runs', '/lots', `/runs/${otherId}`, '/help'];
		// what is compiled at the first answer is not what is measured
		for (const page of [...ofRun, ...others]) await timed(at + page);
		const waiting = await photosWaiting(directory);
		// from a process of its own: what sending costs is no time that a page takes
		const self = fileURLToPath(new URL('./bench.ts', import.meta.url));
		const sender = spawn(process.execPath, [...process.execArgv, self, 'send-photos', at, ...productIds], {
			stdio: ['ignore', 'pipe', 'inherit'],
		});
		const sent = once(sender, 'exit');
		await Promise.race([once(sender.stdout, 'data'), sent]);
		let isSent = false;
		sent.then(() => {
			isSent = true;
		});
		const until = performance.now() + MOST_MS;
		const times = { sending: { ofRun: [], others: [] }, reading: { ofRun: [], others: [] } } satisfies Times;
		for (let turn = 0; performance.now() < until && (!isSent || waiting() > 0); turn++) {
			const [whose, pages] = turn % 2 === 0 ? (['ofRun', ofRun] as const) : (['others', others] as const);
			const into: number[] = times[isSent ? 'reading' : 'sending'][whose];
			into.push(await timed(at + pages[(turn >> 1) % pages.length]!));
			await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
		}
		const read = PHOTOS - waiting();
		const [code] = await sent;
		if (code !== 0) throw new RangeError('not all photos were sent');
		for (const [phase, { ofRun: own, others: other }] of Object.entries(times))
			say({ what: 'uploads', phase, photos: PHOTOS, read, runBeingRead: told(own), others: told(other) });
	} finally {
		server.kill();
		await rm(directory, { recursive: true, force: true });
	}
}

type Times = Record<'sending' | 'reading', Record<'ofRun' | 'others', number[]>>;

function told(times: readonly number[]) {
	return { requests: times.length, p50Ms: at50(times), p99Ms: at99(times), mostMs: Math.round(Math.max(...times)) };
}

async function fill(directory: string) {
	const store = await openStore(directory);
	await setSetting(store, 'demoOffered', 'yes');
	const [lotId, runId, otherId] = [randomUUID(), randomUUID(), randomUUID()];
	const lot = { name: 'Lot', source: 'invented', receivedUnit: 'kg', treatment: 'granulated only', notes: '' } as const;
	await addLot(store, lotId, { ...lot, receivedMassKg: 400 });
	const entry = { runDate: '2026-03-05', settings: {}, feed: {}, notes: '', material: BUILT_IN_MATERIALS[0].name };
	await addRun(store, otherId, lotId, { ...entry, name: 'Another run' });
	await addRun(store, runId, lotId, { ...entry, name: 'Run' });
	const productIds = (await listProducts(store, runId)).map(({ id }) => id);
	await store.close();
	return { runId, otherId, productIds };
}

/** All photos at once, over the run's bins in turn; says so when they are made, and who is told to wait comes back when told. */
export async function sendPhotos(at: string, productIds: readonly string[]): Promise<void> {
	const names = (await readdir('demo-images')).filter((file) => file.endsWith('.jpg'));
	const photos = await Promise.all(names.map((name) => readFile(path.join('demo-images', name))));
	const bodies = Array.from({ length: PHOTOS }, (_, p) => withComment(photos[p % photos.length]!, `photo ${p}`));
	console.log('sending');
	await Promise.all(
		bodies.map(async (body, p) => {
			const query = new URLSearchParams({ product: productIds[p % productIds.length]!, spread: randomUUID() });
			const address = `${at}/api/photos/${randomUUID()}?${query}`;
			for (;;) {
				const answer = await fetch(address, { method: 'PUT', body });
				await answer.arrayBuffer();
				if (answer.ok) return;
				if (answer.status !== 503) throw new RangeError(`a photo is answered with ${answer.status}`);
				await new Promise((resolve) => setTimeout(resolve, 1000 * Number(answer.headers.get('retry-after'))));
			}
		}),
	);
}

/** The same picture in a file of its own: a comment after the start of the image. @source ITU-T T.81 (1992), B.2.4.5 */
function withComment(jpeg: Buffer, comment: string): Uint8Array<ArrayBuffer> {
	const text = Buffer.from(comment);
	const head = Buffer.from([0xff, 0xfe, 0, text.length + 2]);
	return new Uint8Array(Buffer.concat([jpeg.subarray(0, 2), head, text, jpeg.subarray(2)]));
}

async function timed(address: string): Promise<number> {
	const started = performance.now();
	const answer = await fetch(address);
	await answer.arrayBuffer();
	if (!answer.ok) throw new RangeError(`${address} answers ${answer.status}`);
	return performance.now() - started;
}
