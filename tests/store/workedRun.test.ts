import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import { noGradeReason } from '@/lib/report/progressSentences';
import type { AccountOrder } from '@/lib/store/analysis';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { drawBoard } from '@/lib/store/drawnRun';
import { workOutRun } from '@/lib/store/engine';
import { holdWaiting } from '@/lib/store/heldPhotos';
import { keptInFull } from '@/lib/store/keptResult';
import { keepPhoto } from '@/lib/store/photoFiles';
import { addPhoto, removePhoto } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { listProducts, weighProduct } from '@/lib/store/products';
import { requeueRun } from '@/lib/store/readAnew';
import { statedRuns } from '@/lib/store/runOrigin';
import { summariesOf, summaryOf } from '@/lib/store/runSummaries';
import { compareAtOnce, compareBoards, explainAtOnce, flowsAtOnce, valueBoard } from '@/lib/store/runSums';
import { getRun } from '@/lib/store/runs';
import type { AtOnce } from '@/lib/store/sumsAtOnce';
import { valueRun } from '@/lib/store/sumsEngine';
import { getBoard, isRead, photosReadEarlier, unreadPhotosOf, workOutBoard } from '@/lib/store/workedRun';
import { type PriceSheet, priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { readProduct, telltalePhoto } from './readProduct';
import { RUN, storedRun, temporaryStore } from './temporaryStore';

test('a run is worked out once, found again without its readings, and worked out anew when anything of it changed', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await readProduct(store);
	let times = 0;
	const pool = {
		...POOL_HERE,
		workOutRun: async (order: AccountOrder) => {
			times++;
			return workOutRun(order);
		},
	};
	const byBoard = async () => workOutBoard(store, pool, await getBoard(store, runId));
	const summaries = async () => summariesOf(store, pool, await statedRuns(store, [await getRun(store, runId)]));
	await summaries();
	const first = await byBoard();
	expect(first.grades['Concentrate 1']).toBeDefined();
	expect(await summaries()).toEqual([summaryOf(first)]);
	expect(times).toBe(1);
	await weighProduct(store, productId, { gross: '6.07', tare: '0.78', unit: 'kg' });
	const heavier = await byBoard();
	expect(heavier).not.toEqual(first);
	expect(await summaries()).toEqual([summaryOf(heavier)]);
	expect(times).toBe(2);
	// a reading that is gone is not taken for one that is there, in whichever way the run is asked for
	await store.db.deleteFrom('analysis').execute();
	await summaries();
	const unread = await byBoard();
	expect(unread.grades['Concentrate 1']).toBeUndefined();
	expect(await summaries()).toEqual([summaryOf(unread)]);
	expect(times).toBe(3);
});

function resultOf<Result>(worked: AtOnce<Result>): Result {
	if ('awaited' in worked) throw new Error('not there yet');
	return worked.result;
}

test('the page of a range explains the figure that every other page shows', async () => {
	const store = await temporaryStore();
	const { runId } = await readProduct(store);
	const board = await getBoard(store, runId);
	const { grades } = await workOutBoard(store, POOL_HERE, board);
	expect(await explainAtOnce(store, POOL_HERE, board)).toEqual({ awaited: expect.any(String) });
	await keptInFull();
	const { products } = resultOf(await explainAtOnce(store, POOL_HERE, board));
	expect(products['Concentrate 1']!.budget.figure).toEqual(grades['Concentrate 1']!.massFraction.copper);
});

test('what a run is worth is worked out once for the same prices, and reads the same when it is found again', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await readProduct(store);
	await weighProduct(store, productId, { gross: '6.07', tare: '0.78', unit: 'kg' });
	const board = await getBoard(store, runId);
	let times = 0;
	const pool = {
		...POOL_HERE,
		valueRun: async (order: AccountOrder, sheet: PriceSheet) => {
			times++;
			return valueRun(order, sheet);
		},
	};
	const sheet = priceSheetSchema.parse({ deckside: 'prices/1', perTon: 't' });
	const first = await valueBoard(store, pool, board, sheet);
	expect(await valueBoard(store, pool, board, sheet)).toEqual(first);
	expect(times).toBe(1);
	const drawn = await drawBoard(store, pool, board);
	expect(first).toEqual(valueOfRun(drawn, sheet));
	await valueBoard(store, pool, board, { ...sheet, sold: ['concentrate', 'middlings'] });
	expect(times).toBe(2);
});

test("a run's flows and its place among others are found again as they were worked out", async () => {
	const store = await temporaryStore();
	const { runId, productId } = await readProduct(store);
	await weighProduct(store, productId, { gross: '6.07', tare: '0.78', unit: 'kg' });
	const boards = [await getBoard(store, runId), await getBoard(store, (await storedRun(store)).runId)] as const;
	await flowsAtOnce(store, POOL_HERE, boards[0]);
	await keptInFull();
	const flows = resultOf(await flowsAtOnce(store, POOL_HERE, boards[0]));
	expect(flows.copper.bands.map(({ name }) => name)).toEqual(['Concentrate 1']);
	const compared = await compareBoards(store, POOL_HERE, boards, undefined);
	// both are of one name
	expect(compared.runs.map(({ name }) => name)).toEqual([RUN.name, `${RUN.name} (2)`]);
	const idle = { ...POOL_HERE, flowsOf: () => Promise.reject(), compareRuns: () => Promise.reject() };
	expect(await flowsAtOnce(store, idle, boards[0])).toEqual({ result: flows });
	expect(await compareBoards(store, idle, boards, undefined)).toEqual(compared);
	await keptInFull();
	expect(await compareAtOnce(store, idle, boards, undefined)).toEqual({ result: compared });
	await expect(compareBoards(store, idle, [boards[1], boards[0]], undefined)).rejects.toBeUndefined();
	expect(await compareAtOnce(store, POOL_HERE, [boards[1], boards[0]], undefined)).toHaveProperty('awaited');
	await keptInFull();
	expect(await compareAtOnce(store, idle, [boards[1], boards[0]], undefined)).toHaveProperty('result');
});

test('a comparison says which photos of its runs the figures leave out, and no more once none is left out', async () => {
	const store = await temporaryStore();
	const [one, other] = [await storedRun(store), await storedRun(store)];
	const kept = await keepPhoto(store.files, [await telltalePhoto()]);
	const photo = { id: randomUUID(), spreadId: randomUUID(), productId: other.productId, originalName: 'spread.jpg' };
	await addPhoto(store, photo, kept);
	const warned = async () => {
		const boards = [await getBoard(store, one.runId), await getBoard(store, other.runId)];
		const { compared } = await compareBoards(store, POOL_HERE, boards, undefined);
		return compared[0]!.comparison.warnings.filter((warning) => /photo/.test(warning));
	};
	expect(await warned()).toEqual([`${RUN.name} (2): 1 photo waits to be read; the figures leave it out.`]);
	await holdWaiting(store);
	expect(await warned()).toEqual([`${RUN.name} (2): the reading of 1 photo was stopped; the figures leave it out.`]);
	await removePhoto(store, photo.id);
	expect(await warned()).toEqual([]);
});

test('runs that are asked for together come out as each by itself, in the order asked for', async () => {
	const store = await temporaryStore();
	const [one, other] = [await readProduct(store), await readProduct(store)];
	for (const { id } of await listProducts(store, other.runId)) await weighProduct(store, id, { gross: '6 kg' });
	const runs = await statedRuns(store, [await getRun(store, other.runId), await getRun(store, one.runId)]);
	const together = await summariesOf(store, POOL_HERE, runs);
	const byItself = async (id: string) => summaryOf(await workOutBoard(store, POOL_HERE, await getBoard(store, id)));
	expect(together).toEqual([await byItself(other.runId), await byItself(one.runId)]);
	expect(together[0]).not.toEqual(together[1]);
	expect(await summariesOf(store, POOL_HERE, runs)).toEqual(together);
	expect(await summariesOf(store, POOL_HERE, [])).toEqual([]);
});

test('a product without a grade says what its photos wait for', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	const reason = async () => {
		const product = (await getBoard(store, runId)).products.find(({ id }) => id === productId)!;
		expect(isRead(product)).toBe(false);
		return noGradeReason(unreadPhotosOf(product));
	};
	expect(await reason()).toBe('photograph at least one spread.');
	const kept = await keepPhoto(store.files, [await telltalePhoto()]);
	const photo = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: 'a.jpg' };
	await addPhoto(store, photo, kept);
	expect(await reason()).toBe('1 photo waits to be read.');
	await holdWaiting(store, runId);
	expect(await reason()).toBe('the reading of 1 photo was stopped.');
});

test('a photo that was read by an earlier version says so wherever its warnings go, until it is read again', async () => {
	const store = await temporaryStore();
	const { runId } = await readProduct(store);
	const told = async () => {
		const board = await getBoard(store, runId);
		const { compared } = await compareBoards(store, POOL_HERE, [board, board], undefined);
		return {
			photos: photosReadEarlier(board),
			inFiles: warningsOfBoard(board, await workOutBoard(store, POOL_HERE, board)).map(({ message }) => message),
			compared: compared[0]!.comparison.warnings,
		};
	};
	expect((await told()).photos).toBe(0);
	// as it stands after an upgrade
	const key = 'f'.repeat(64);
	const before = await store.db.selectFrom('analysis').selectAll().executeTakeFirstOrThrow();
	await store.db
		.insertInto('analysis')
		.values({ ...before, key, engine_version: '1-of-old' })
		.execute();
	await store.db.updateTable('photo').set({ analysis_key: key }).execute();
	const sentence = expect.stringContaining('read by an earlier version');
	expect(await told()).toMatchObject({ photos: 1, compared: expect.arrayContaining([sentence]) });
	expect((await told()).inFiles).toContainEqual(expect.stringMatching(/^Concentrate 1: Spread 1: Read by an earlier/));
	await requeueRun(store, runId);
	const queue = await startAnalysisQueue(store, POOL_HERE);
	queue.wake();
	await queue.settled();
	expect((await told()).photos).toBe(0);
});

test('that no photo could be read is not said beside one that was', () => {
	const unread = { waiting: 0, stopped: 0, refused: 2, read: 0 };
	expect(noGradeReason(unread)).toBe('no photo could be read. What is wrong stands beside each.');
	// as a grade stands that was worked out before the photo was read
	expect(noGradeReason({ ...unread, read: 1 })).toBe('its photos are read and are being worked out.');
});

test('a picture that was chosen for two bins is told at both and once for the run, until it is taken away from one', async () => {
	const store = await temporaryStore();
	const { runId, photoId, bytes } = await readProduct(store);
	const other = (await getBoard(store, runId)).products[1]!;
	const twin = { id: randomUUID(), spreadId: randomUUID(), productId: other.id, originalName: 'again.jpg' };
	await addPhoto(store, twin, await keepPhoto(store.files, [bytes]));
	const { analysis_key } = await store.db
		.selectFrom('photo')
		.select('analysis_key')
		.where('id', '=', photoId)
		.executeTakeFirstOrThrow();
	await store.db.updateTable('photo').set({ state: 'graded', analysis_key }).where('id', '=', twin.id).execute();
	const told = async () =>
		(await getBoard(store, runId)).products.flatMap(({ spreads }) =>
			spreads.flatMap(({ photos }) =>
				photos.flatMap(({ analysis }) =>
					(analysis?.warnings ?? []).filter(({ code }) => code === 'same-picture').map(({ message }) => message),
				),
			),
		);
	const both = expect.stringContaining('stands in Concentrate 1, spread 1, and in Concentrate 2, spread 1, so');
	expect(await told()).toEqual([both, both]);
	const board = await getBoard(store, runId);
	const worked = await workOutBoard(store, POOL_HERE, board);
	expect(warningsOfBoard(board, worked).filter(({ message }) => message.includes('very same picture'))).toHaveLength(1);
	await removePhoto(store, twin.id);
	expect(await told()).toEqual([]);
});
