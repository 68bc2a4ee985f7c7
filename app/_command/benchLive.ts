import { spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { type CDPSession, chromium, type Page } from '@playwright/test';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { openStore } from '@/lib/store/database';
import { addLot } from '@/lib/store/lots';
import { listProducts } from '@/lib/store/products';
import { addRun } from '@/lib/store/runs';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { startTeaching } from '@/lib/store/teaching';
import { answers, freePort, photosWaiting } from './benchPages';
import { photoOf } from './benchPhoto';

const SLOWER = 4;
const SECONDS = 6;
const NAME = 'Bench';

/** The teaching page in a real browser: how often a second it shows what a changed material makes of a photo of one megapixel. */
export async function benchLive(): Promise<object> {
	const directory = await mkdtemp(path.join(tmpdir(), 'deckside-live-'));
	const photoId = await fill(directory);
	const port = await freePort();
	const server = spawn(process.execPath, ['app/_command/serve.mjs', '--port', String(port)], {
		env: { ...process.env, DECKSIDE_DATA: directory },
		stdio: 'ignore',
	});
	const browser = await chromium.launch({ executablePath: await browserPath(), args: ['--no-sandbox'] });
	try {
		await answers(`http://127.0.0.1:${port}/api/ready`);
		const waiting = await photosWaiting(directory);
		while (waiting() > 0) await new Promise((resolve) => setTimeout(resolve, 500));
		const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
		// the runner that this command goes through names functions by a helper that pages don't have
		await page.addInitScript('globalThis.__name ??= (named) => named');
		await page.addInitScript(holdWorker);
		const session = await page.context().newCDPSession(page);
		await page.goto(`http://127.0.0.1:${port}/teach/${photoId}?material=${NAME}`);
		await page.locator('.piece-words', { hasText: 'Zoom in and tap' }).waitFor();
		const free = await looks(page);
		await slowDown(page, session);
		const slowed = await looks(page);
		return {
			what: 'preview in a browser',
			megapixels: 1,
			looksPerSecond: free.perSecond,
			pageFramesPerSecond: free.framesPerSecond,
			pageSlowedTimes: SLOWER,
			looksPerSecondPageSlowed: slowed.perSecond,
			pageFramesPerSecondPageSlowed: slowed.framesPerSecond,
		};
	} finally {
		await browser.close();
		server.kill();
		await rm(directory, { recursive: true, force: true });
	}
}

async function fill(directory: string): Promise<string> {
	const store = await openStore(directory);
	const [lot, run, photo] = [randomUUID(), randomUUID(), randomUUID()];
	const lotEntry = { name: 'Lot', source: 'invented', receivedMassKg: 400, receivedUnit: 'kg', notes: '' } as const;
	await addLot(store, lot, { ...lotEntry, treatment: 'granulated only' });
	const material = BUILT_IN_MATERIALS[0].name;
	const entry = { name: 'Run', runDate: '2026-03-05', settings: {}, feed: {}, notes: '', material };
	await addRun(store, run, lot, entry, [{ name: 'Bin', role: 'concentrate' }]);
	const [first] = await listProducts(store, run);
	if (first === undefined) throw new RangeError('the run has products');
	const bytes = await photoOf(1);
	const place = { id: photo, spreadId: randomUUID(), productId: first.id, originalName: 'photo.jpg' };
	await takeInPhoto(store, place, [bytes]);
	await startTeaching(store, NAME, material);
	await store.close();
	return photo;
}

/** Runs in the page before its scripts: keeps the worker that looks at materials, and the last material it was given. */
function holdWorker(): void {
	const held = window as unknown as { looker?: Worker; material?: object };
	const Plain = window.Worker;
	window.Worker = class extends Plain {
		override postMessage(message: unknown, ...rest: []): void {
			if (typeof message === 'object' && message !== null && 'material' in message) {
				held.looker = this;
				held.material = message.material as object;
			}
			super.postMessage(message, ...rest);
		}
	};
}

/** Change the material with every frame, as a finger that is drawn over the photo does, for some seconds. */
function looks(page: Page): Promise<{ perSecond: number; framesPerSecond: number }> {
	return page.evaluate(async (seconds) => {
		type Colour = { centre: { L: number } };
		const { looker, material } = window as unknown as {
			looker: Worker;
			material: { classes: { insulation: { colours: Colour[] } } };
		};
		let [seen, frames, running] = [0, 0, true];
		const ask = () => {
			const next = structuredClone(material);
			for (const { centre } of next.classes.insulation.colours) centre.L += 0.01 * frames;
			looker.postMessage({ look: -1, material: next });
		};
		const hear = ({ data }: MessageEvent) => {
			if ('edges' in data) seen += 1;
		};
		const count = () => {
			frames += 1;
			if (!running) return;
			ask();
			requestAnimationFrame(count);
		};
		looker.addEventListener('message', hear);
		const started = performance.now();
		requestAnimationFrame(count);
		await new Promise((resolve) => setTimeout(resolve, 1000 * seconds));
		running = false;
		looker.removeEventListener('message', hear);
		const took = (performance.now() - started) / 1000;
		return { perSecond: Math.round(seen / took), framesPerSecond: Math.round(frames / took) };
	}, SECONDS);
}

/** The page by the browser's own brake, which leaves workers as fast as they are; those by a wait behind each look. */
async function slowDown(page: Page, session: CDPSession): Promise<void> {
	await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
	for (const worker of page.workers()) {
		await worker.evaluate('globalThis.__name ??= (named) => named');
		await worker.evaluate(stretchLooks, SLOWER);
	}
}

/** Runs in the worker: what it says comes so many times as late after the beginning of its work as it would have come. */
function stretchLooks(times: number): void {
	const { setTimeout: after, postMessage: say } = globalThis;
	let began = 0;
	const timed = (work: () => void, delayMs?: number) =>
		after(() => {
			began = performance.now();
			work();
		}, delayMs);
	const late = (...said: [unknown]) => {
		const until = began + times * (performance.now() - began);
		while (performance.now() < until);
		say(...said);
	};
	Object.assign(globalThis, { setTimeout: timed, postMessage: late });
}

async function browserPath(): Promise<string> {
	if (process.env.E2E_BROWSER !== undefined) return process.env.E2E_BROWSER;
	return (await import('@sparticuz/chromium')).default.executablePath();
}
