import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { expect, test, vi } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { classMapName, getAnalyses } from '@/lib/store/analyses';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import { analysePhoto } from '@/lib/store/engine';
import { choosePhotoReading, getPhoto, removePhoto, restorePhoto } from '@/lib/store/photos';
import { removeProduct } from '@/lib/store/products';
import { progressOf } from '@/lib/store/progress';
import { removeRun } from '@/lib/store/runs';
import { listSpreads } from '@/lib/store/spreads';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { sendTray, TRAY } from './sentTray';
import { inPieces, storedRun, temporaryStore } from './temporaryStore';

/** The real engine on this thread, counted. */
function countedPool() {
	const pool = {
		size: 1,
		calls: 0,
		analysePhoto: (...given: Parameters<typeof analysePhoto>) => {
			pool.calls++;
			return analysePhoto(...given);
		},
	};
	return pool;
}

test('a photo waits, is read, and its figures and class map are kept; the same photo again is not read twice', async () => {
	const store = await temporaryStore();
	const { productId, runId, products } = await storedRun(store);
	const id = await sendTray(store, productId);
	expect(await progressOf(store, runId)).toMatchObject({ photos: 1, open: 1, graded: 0 });
	const pool = countedPool();
	const queue = await startAnalysisQueue(store, pool);
	queue.wake();
	await queue.settled();
	const { state } = await getPhoto(store, id);
	if (state.kind !== 'graded') throw new Error(`graded expected, got ${state.kind}`);
	expect(await store.files.sizeOf(classMapName(state.analysisKey))).toBeGreaterThan(100);
	const analysis = (await getAnalyses(store, [state.analysisKey])).get(state.analysisKey);
	expect(analysis?.surface).toBe('mat');
	const sum = Object.values(analysis?.areaFraction ?? {}).reduce((total, { value }) => total + value, 0);
	expect(sum).toBeCloseTo(1, 6);
	await sendTray(store, products[1]!.id);
	queue.wake();
	await queue.settled();
	expect(pool.calls).toBe(1);
	expect(await progressOf(store, runId)).toMatchObject({ photos: 2, open: 0, graded: 2 });
});

test('a photo that goes while it is read is let go without a word of trouble', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	const pool = countedPool();
	const read = pool.analysePhoto;
	pool.analysePhoto = async (...given) => {
		await store.db.deleteFrom('photo').where('id', '=', id).execute();
		return read(...given);
	};
	const told = vi.spyOn(console, 'error').mockImplementation(() => {});
	const queue = await startAnalysisQueue(store, pool);
	queue.wake();
	await queue.settled();
	expect(pool.calls).toBe(1);
	expect(told).not.toHaveBeenCalled();
	told.mockRestore();
});

test('a photo that a stop caught half-read is read after the next start', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId);
	await store.db.updateTable('photo').set({ state: 'reading' }).execute();
	const queue = await startAnalysisQueue(store, countedPool());
	queue.wake();
	await queue.settled();
	expect((await getPhoto(store, id)).state.kind).toBe('graded');
});

test('a photo cut short is refused with a sentence and keeps its place; read in another way it goes back into the queue', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId, TRAY.subarray(0, 200_000));
	const queue = await startAnalysisQueue(store, countedPool());
	queue.wake();
	await queue.settled();
	const { state, choice } = await getPhoto(store, id);
	expect(state).toMatchObject({ kind: 'refused', message: expect.stringContaining('cut short') });
	await choosePhotoReading(store, id, choice);
	expect((await getPhoto(store, id)).state.kind).toBe('queued');
});

test('a plain tray without corners is refused and says what is needed', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const id = await sendTray(store, productId, await readFile('demo-images/dev-clean-stainless-led.jpg'));
	const queue = await startAnalysisQueue(store, countedPool());
	queue.wake();
	await queue.settled();
	expect((await getPhoto(store, id)).state).toMatchObject({
		kind: 'refused',
		hint: expect.stringContaining('corners'),
	});
});

test.each([
	['a text under a picture’s name', Buffer.from('<html><body>photo.jpg</body></html>')],
	['an SVG', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg" width="200" height="200"/>')],
	['zero bytes', Buffer.alloc(0)],
])('%s is refused at the door and nothing of it is kept', async (_, bytes) => {
	const store = await temporaryStore();
	const { productId, runId } = await storedRun(store);
	await expect(sendTray(store, productId, bytes)).rejects.toMatchObject({ code: 'photo-unreadable' });
	expect(await progressOf(store, runId)).toMatchObject({ photos: 0 });
});

test('all photos are counted, those of a removed bin or run are not', async () => {
	const store = await temporaryStore();
	const _photo = await readFile('demo-images/dev-clean-stainless-led.jpg');
	const [one, other] = [await storedRun(store), await storedRun(store)];
	for (const { productId } of [one, other]) await sendTray(store, productId);
	await sendTray(store, one.products[1]!.id);
	expect(await progressOf(store)).toMatchObject({ photos: 3, open: 3 });
	await removeProduct(store, one.productId);
	const { mark } = await progressOf(store);
	expect(await progressOf(store)).toMatchObject({ photos: 2, open: 2 });
	await removeRun(store, other.runId);
	const left = await progressOf(store);
	expect(left).toMatchObject({ photos: 1, open: 1 });
	expect(left.mark).not.toBe(mark);
});

test('the same photo sent at once by several phones for one bin is one photo', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const phones = Array.from({ length: 6 }, () => ({ id: randomUUID(), spreadId: randomUUID() }));
	const sent = await Promise.all(
		phones.map((phone) =>
			takeInPhoto(store, { ...phone, productId, originalName: 'tray.jpg' }, inPieces(TRAY, 65_536)),
		),
	);
	expect(new Set(sent.map(({ id }) => id)).size).toBe(1);
	expect(await listSpreads(store, productId)).toMatchObject([{ photos: [{ id: sent[0]!.id }] }]);
});

test('the same photo sent twice for one bin is one photo', async () => {
	const store = await temporaryStore();
	const { productId, runId } = await storedRun(store);
	const spread = randomUUID();
	const first = await sendTray(store, productId, TRAY, spread);
	expect(await sendTray(store, productId, TRAY, spread)).toBe(first);
	// nor does it count twice as a spread of its own
	expect(await sendTray(store, productId)).toBe(first);
	expect(await progressOf(store, runId)).toMatchObject({ photos: 1 });
	// removed, sent anew, and the first brought back as well
	await removePhoto(store, first);
	expect(await sendTray(store, productId)).not.toBe(first);
	expect(await restorePhoto(store, first)).toBe(productId);
	expect(await progressOf(store, runId)).toMatchObject({ photos: 1 });
});

test('stopped, a photo under way and those that wait are kept unread; asked to go on, they are read', async () => {
	const store = await temporaryStore();
	const { productId, runId, products } = await storedRun(store);
	const [first, second] = [await sendTray(store, productId), await sendTray(store, products[1]!.id)];
	let begun = () => {};
	const begins = new Promise<void>((resolve) => {
		begun = resolve;
	});
	const seen: Uint8Array[] = [];
	const pool = {
		size: 1,
		// as the pool of workers: refuses when it is told to leave off
		analysePhoto: (bytes: Uint8Array, _options: unknown, stop?: AbortSignal) => {
			seen.push(bytes);
			begun();
			return new Promise<never>((_, reject) => {
				stop?.addEventListener('abort', () => reject(new TrayError('stopped', 'Stopped.', 'Read it.')));
			});
		},
	};
	const queue = await startAnalysisQueue(store, pool);
	queue.wake();
	await begins;
	await queue.stop(runId);
	await queue.settled();
	expect(seen).toHaveLength(1);
	for (const id of [first, second]) {
		expect((await getPhoto(store, id)).state).toEqual({ kind: 'held', why: 'stopped' });
	}
	expect(await progressOf(store, runId)).toMatchObject({ photos: 0, open: 0, stopped: 2 });
	await queue.resume(runId);
	expect(await progressOf(store, runId)).toMatchObject({ photos: 2, open: 2, stopped: 0 });
	await queue.stop();
	await queue.settled();
});

test('a photo taken again is kept but not counted, until it is asked for', async () => {
	const store = await temporaryStore();
	const { productId, runId } = await storedRun(store);
	const spreadId = randomUUID();
	const first = await sendTray(store, productId, TRAY, spreadId);
	const before = await progressOf(store, runId);
	const sent = { id: randomUUID(), spreadId, productId, originalName: 'again.jpg', instead: first };
	const again = await takeInPhoto(store, sent, inPieces(await readFile('demo-images/dev-run-tailings-tray2.jpg')));
	expect((await getPhoto(store, first)).state).toEqual({ kind: 'held', why: 'setAside' });
	expect((await getPhoto(store, again.id)).state.kind).toBe('queued');
	const after = await progressOf(store, runId);
	expect(after.mark).not.toBe(before.mark);
	await choosePhotoReading(store, first, { surface: 'auto', method: 'threshold' });
	expect((await getPhoto(store, first)).state.kind).toBe('queued');
});

test('a photo taken again goes to the spread of the first one, wherever the phone thought that lay, and touches no other bin', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const spreadId = randomUUID();
	const first = await sendTray(store, productId, TRAY, spreadId);
	const again = async (bin: string) => {
		const sent = {
			id: randomUUID(),
			spreadId: randomUUID(),
			productId: bin,
			originalName: 'again.jpg',
			instead: first,
		};
		return takeInPhoto(store, sent, inPieces(await readFile('demo-images/dev-run-tailings-tray2.jpg')));
	};
	await again((await storedRun(store)).productId);
	expect((await getPhoto(store, first)).state.kind).toBe('queued');
	const { id } = await again(productId);
	expect((await getPhoto(store, first)).state).toEqual({ kind: 'held', why: 'setAside' });
	expect((await getPhoto(store, id)).spreadId).toBe(spreadId);
});
