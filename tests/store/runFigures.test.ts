import { expect, test, vi } from 'vitest';
import { lotEffects, lotHistory, workedRuns } from '@/app/_parts/lotHistory';
import { beforeSentence } from '@/lib/report/progressSentences';
import type { WorkedRun } from '@/lib/store/analysis';
import type { Store } from '@/lib/store/database';
import { keptInFull } from '@/lib/store/keptResult';
import { awaitingMark } from '@/lib/store/pageMark';
import { removePhoto, setAside } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { changeProduct, removeProduct, weighProduct } from '@/lib/store/products';
import { progressOf } from '@/lib/store/progress';
import { figuresOf, summariesAtOnce } from '@/lib/store/runFigures';
import { statedRuns } from '@/lib/store/runOrigin';
import { summaryOf } from '@/lib/store/runSummaries';
import { getRun } from '@/lib/store/runs';
import { sumAtOnce } from '@/lib/store/sumsAtOnce';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { readProduct } from './readProduct';
import { readAll, sendTray, TRAY } from './sentTray';
import { storedRun, temporaryStore } from './temporaryStore';

/** Stands for what a run comes to; what matters here is when it is shown. */
function resultOf(what: string): WorkedRun {
	const sorting = { piles: [], idle: [], partial: [], points: [] };
	return { account: { together: { concentrate: what } }, grades: {}, sorting } as unknown as WorkedRun;
}

const summary = (what: string) => summaryOf(resultOf(what));

interface Asked {
	readonly tell: (what: string) => void;
	readonly fail: (error: Error) => void;
}

/** Runs as a list has them. */
async function stated(store: Store, ...ids: readonly string[]) {
	return statedRuns(store, await Promise.all(ids.map((id) => getRun(store, id))));
}

/** A run with one photo read, and a pool that works runs out when the test says so. */
async function waitingPool(store: Store) {
	const { runId, productId, photoId } = await readProduct(store);
	const asked: Asked[] = [];
	const pool = {
		...POOL_HERE,
		workOutRun: () =>
			new Promise<WorkedRun>((resolve, fail) => asked.push({ tell: (what) => resolve(resultOf(what)), fail })),
	};
	return {
		runId,
		productId,
		photoId,
		pool,
		asked,
		figures: async () => figuresOf(store, pool, await getBoard(store, runId)),
		/** The next working out, once it has begun. */
		begun: async (number: number) => {
			await vi.waitFor(() => expect(asked.length).toBe(number), 60_000);
			return asked[number - 1]!;
		},
		mark: async () => (await progressOf(store, runId)).mark,
	};
}

test('a page has the last figures with their photos counted while new ones are worked out, and then those without a wait', async () => {
	const store = await temporaryStore();
	const { runId, productId, pool, figures, begun, mark } = await waitingPool(store);
	const markAtFirst = await mark();
	expect(await figures()).toEqual({ kind: 'none' });
	(await begun(1)).tell('one photo');
	await keptInFull();
	expect(await mark()).not.toBe(markAtFirst);
	expect(await figures()).toEqual({ kind: 'present', worked: resultOf('one photo') });

	await sendTray(store, productId);
	expect(await figures()).toMatchObject({ kind: 'present' });
	await readAll(store, POOL_HERE);
	const markBefore = await mark();
	const meanwhile = await figures();
	expect(meanwhile).toEqual({
		kind: 'before',
		worked: resultOf('one photo'),
		before: { photos: { counted: 1, all: 2 } },
	});
	expect(meanwhile.kind === 'before' && beforeSentence(meanwhile.before)).toBe(
		'Figures with 1 of 2 photos, from before the latest change. The present ones are being worked out.',
	);
	// what leaves the program waits for the true figures
	const exported = workOutBoard(store, pool, await getBoard(store, runId));
	(await begun(2)).tell('two photos');
	expect(await exported).toEqual(resultOf('two photos'));
	await keptInFull();
	expect(await mark()).not.toBe(markBefore);
	expect(await figures()).toEqual({ kind: 'present', worked: resultOf('two photos') });
});

test('what is saved of a lot waits for runs whose photos are read, and for none whose photos are being read', async () => {
	const store = await temporaryStore();
	const { runId, productId, pool, begun } = await waitingPool(store);
	const { lotId } = await getRun(store, runId);
	const saved = () => workedRuns(store, pool, lotId);
	const awaited = saved();
	(await begun(1)).tell('one photo');
	expect((await awaited).runs).toMatchObject([{ account: summary('one photo'), inReading: undefined }]);
	await keptInFull();

	const left = await sendTray(store, productId, Buffer.concat([TRAY, Buffer.from('left')]));
	await setAside(store, left);
	await sendTray(store, productId);
	const meanwhile = await saved();
	expect(lotHistory(meanwhile)).toEqual([
		{ id: runId, name: 'Run 1', date: '2026-03-05', firstAfterChange: false, inReading: { read: 1, all: 2 } },
	]);
	const [recovery, grade] = [lotEffects(meanwhile, 'recovery'), lotEffects(meanwhile, 'grade')];
	expect([recovery.runs, grade.runs]).toEqual([0, 0]);
	expect(recovery.warnings.at(-1)).toBe(
		'Photos are still being read: Run 1 (1 of 2 done). What is saved until then has no figures of this run.',
	);
	await readAll(store, POOL_HERE);
	const again = saved();
	(await begun(2)).tell('two photos');
	expect((await again).runs).toMatchObject([{ account: summary('two photos'), inReading: undefined }]);
});

test('effects of settings are worked out again where a run notes something else, and not for each of its photos', async () => {
	const store = await temporaryStore();
	const { runId } = await storedRun(store);
	const account = { together: {} };
	const effects = async (settings = {}) => {
		const run = await getRun(store, runId);
		const noted = { ...run, settings: { ...run.settings, ...settings } };
		return lotEffects({ runs: [{ run: noted, account }], behind: [], awaited: undefined }, 'recovery');
	};
	const first = await effects();
	expect(await effects()).toBe(first);
	expect(await effects({ strokesPerMin: 280 })).not.toBe(first);
});

test('while a run is worked out only the latest of the states that pages ask for waits for its turn', async () => {
	const store = await temporaryStore();
	const { productId, asked, figures, begun } = await waitingPool(store);
	await figures();
	const first = await begun(1);
	for (const gross of ['6 kg', '7 kg', '8 kg']) {
		await weighProduct(store, productId, { gross });
		expect(await figures()).toEqual({ kind: 'none' });
	}
	first.tell('as it was at first');
	const last = await begun(2);
	expect(await figures()).toEqual({ kind: 'before', worked: resultOf('as it was at first'), before: {} });
	last.tell('8 kg');
	await keptInFull();
	expect(await figures()).toEqual({ kind: 'present', worked: resultOf('8 kg') });
	expect(asked.length).toBe(2);
});

test('figures from before stand beside no other product, and count no photo that is gone', async () => {
	const store = await temporaryStore();
	const { runId, productId, photoId, figures, begun } = await waitingPool(store);
	await figures();
	(await begun(1)).tell('one photo');
	await keptInFull();
	await changeProduct(store, productId, { name: 'Another bin', role: 'middlings' });
	expect(await figures()).toEqual({ kind: 'none' });
	(await begun(2)).tell('another name');
	await keptInFull();
	await removePhoto(store, photoId);
	expect(await figures()).toEqual({ kind: 'before', worked: resultOf('another name'), before: {} });
	(await begun(3)).tell('no photo');
	await keptInFull();
	for (const { id } of (await getBoard(store, runId)).products) await removeProduct(store, id);
	expect(await figures()).toEqual({ kind: 'none' });
});

test('what went wrong is told to the page that asks next, which hears of it, and is tried again after that', async () => {
	const store = await temporaryStore();
	const { figures, begun, mark } = await waitingPool(store);
	const markAtFirst = await mark();
	expect(await figures()).toEqual({ kind: 'none' });
	(await begun(1)).fail(new RangeError('stumbled'));
	await vi.waitFor(async () => expect(await mark()).not.toBe(markAtFirst), 60_000);
	await expect(figures()).rejects.toThrow('stumbled');
	expect(await figures()).toEqual({ kind: 'none' });
	(await begun(2)).tell('at the second try');
	await keptInFull();
	expect(await figures()).toEqual({ kind: 'present', worked: resultOf('at the second try') });
});

test('of several runs that are behind one is worked out at a time, and what is there stands at once', async () => {
	const store = await temporaryStore();
	const { runId, productId, pool, asked, begun } = await waitingPool(store);
	const other = await storedRun(store);
	const empty = await storedRun(store);
	for (const { id } of empty.products) await removeProduct(store, id);
	const figures = async () => summariesAtOnce(store, pool, await stated(store, runId, other.runId, empty.runId));
	const mark = async (awaited: string | undefined) => (await progressOf(store, undefined, 1, awaited)).mark;
	const first = await figures();
	expect(first.summaries).toEqual([undefined, undefined, undefined]);
	expect(first.behind.map(({ id }) => id)).toEqual([runId, other.runId]);
	const markBefore = await mark(first.awaited);
	(await begun(1)).tell('the first');
	await keptInFull();
	expect(await mark(first.awaited)).not.toBe(markBefore);
	const second = await figures();
	expect(second.summaries).toEqual([summary('the first'), undefined, undefined]);
	expect(second.behind.map(({ id }) => id)).toEqual([other.runId]);
	(await begun(2)).tell('the second');
	await keptInFull();
	await weighProduct(store, productId, { gross: '6 kg' });
	const changed = await figures();
	expect(changed.behind.map(({ id }) => id)).toEqual([runId]);
	expect(changed.summaries).toEqual([summary('the first'), summary('the second'), undefined]);
	(await begun(3)).tell('the first, weighed anew');
	await keptInFull();
	expect(await figures()).toMatchObject({ behind: [], awaited: undefined });
	expect(asked.length).toBe(3);
});

test('figures that can’t be put on record end the wait for them too', async () => {
	const store = await temporaryStore();
	const { runId, pool, begun } = await waitingPool(store);
	const figures = async () => summariesAtOnce(store, pool, await stated(store, runId));
	const { awaited } = await figures();
	const first = await begun(1);
	const over = async () => (await progressOf(store, undefined, 1, awaited)).mark.endsWith('+');
	expect(await over()).toBe(false);
	first.fail(new RangeError('stumbled'));
	await vi.waitFor(async () => expect(await over()).toBe(true), 60_000);
	await expect(figures()).rejects.toThrow('stumbled');
});

test('a run without a product is not worked out', async () => {
	const store = await temporaryStore();
	const { runId, products } = await storedRun(store);
	for (const { id } of products) await removeProduct(store, id);
	const never = { ...POOL_HERE, workOutRun: () => Promise.reject(new Error('nothing to work out')) };
	expect(await figuresOf(store, never, await getBoard(store, runId))).toEqual({ kind: 'none' });
});

test('a page that awaits a sum has another mark once it is there, and once it can’t be had', async () => {
	const store = await temporaryStore();
	const { runId } = await storedRun(store);
	const key = (digit: string) => digit.repeat(64);
	const mark = async (digit: string) => (await progressOf(store, runId, 2, key(digit))).mark;
	const plain = (await progressOf(store, runId)).mark;
	let tell = (_: string) => {};
	const told = new Promise<string>((resolve) => {
		tell = resolve;
	});
	const asked = () => sumAtOnce(store, 'worth', { key: key('a'), workOut: () => told });
	expect(await asked()).toEqual({ awaited: key('a') });
	expect(await mark('a')).toBe(awaitingMark(plain, false));
	tell('much');
	await keptInFull();
	expect(await asked()).toEqual({ result: 'much' });
	expect(await mark('a')).toBe(awaitingMark(plain, true));
	const never = () =>
		sumAtOnce(store, 'worth', { key: key('b'), workOut: () => Promise.reject(new Error('stumbled')) });
	expect(await never()).toEqual({ awaited: key('b') });
	await vi.waitFor(async () => expect(await mark('b')).toBe(awaitingMark(plain, true)), 60_000);
	await expect(never()).rejects.toThrow('stumbled');
	expect(await sumAtOnce(store, 'flow', { key: key('c'), workOut: () => told }, false)).toEqual({ awaited: key('c') });
	await keptInFull();
	expect(await mark('c')).toBe(awaitingMark(plain, false));
});
