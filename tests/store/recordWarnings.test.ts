import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import { recordSchema } from '@/lib/report/recordSchema';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { addPhoto, removePhoto, setAside, setAsideRefused } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { addProduct, changeProduct, weighProduct } from '@/lib/store/products';
import { correctionsOf, warningsOf } from '@/lib/store/recordWarnings';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { RUN, storedRun, temporaryStore } from './temporaryStore';

test('a record counts photos that were removed and those that were taken again', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	const spreadId = randomUUID();
	const ids = ['1', '2', '3', '4'].map(() => randomUUID());
	for (const [p, id] of ids.entries()) {
		const kept = { sha256: String(p).repeat(64), sizeBytes: 9 };
		await addPhoto(store, { id, spreadId, productId, originalName: 'photo.jpg' }, kept);
	}
	await removePhoto(store, ids[0]!);
	await setAside(store, ids[1]!);
	// what could not be read is left out with all others of its bin
	await store.db.updateTable('photo').set({ state: 'refused' }).where('id', '=', ids[3]!).execute();
	await setAsideRefused(store, productId);
	const { products } = await getBoard(store, runId);
	expect((await correctionsOf(store, products[0]!, RUN.material)).photosTakenOut).toBe(3);
});

test('photos that figures leave out are told on a record and in every file of the run, those taken again are not', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	const ids = ['1', '2', '3', '4', '5'].map(() => randomUUID());
	for (const [p, id] of ids.entries()) {
		const kept = { sha256: String(p).repeat(64), sizeBytes: 9 };
		await addPhoto(store, { id, spreadId: randomUUID(), productId, originalName: 'photo.jpg' }, kept);
	}
	const told = async () => {
		const board = await getBoard(store, runId);
		const worked = await workOutBoard(store, POOL_HERE, board);
		const inFiles = warningsOfBoard(board, worked).filter(({ code }) => code === 'photos-left-out');
		return [inFiles.map(({ message }) => message), warningsOf(board, board.products[0]!, worked)[0]];
	};
	await setAside(store, ids[0]!);
	await store.db.updateTable('photo').set({ held: 'stopped' }).where('id', '=', ids[1]!).execute();
	await store.db.updateTable('photo').set({ state: 'refused' }).where('id', '=', ids[2]!).execute();
	const sentence =
		'2 photos wait to be read, the reading of 1 photo was stopped and 1 photo could not be read; the figures leave them out.';
	expect(await told()).toEqual([[`Concentrate 1: ${sentence}`], sentence]);
	for (const id of [ids[1]!, ids[3]!, ids[4]!]) await removePhoto(store, id);
	const alone = '1 photo could not be read; the figures leave it out.';
	expect(await told()).toEqual([[`Concentrate 1: ${alone}`], alone]);
});

test("a record takes no warning of a bin whose name begins with its own bin's", async () => {
	const store = await temporaryStore();
	const { runId, products } = await storedRun(store);
	for (const [p, { id }] of products.entries()) {
		await changeProduct(store, id, { name: p === 1 ? 'Concentrate 10' : `Concentrate ${p + 1}`, role: 'concentrate' });
		if (p !== 1) await weighProduct(store, id, { gross: '5', unit: 'kg' });
	}
	const board = await getBoard(store, runId);
	const worked = await workOutBoard(store, POOL_HERE, board);
	const [first, tenth] = board.products.map((product) => warningsOf(board, product, worked).join(' '));
	expect(tenth).toContain('Concentrate 10 has no weight');
	expect(first).toContain('Concentrate 1');
	expect(first).not.toContain('has no weight');
});

test('a warning that names many bins of long names still fits into a record', async () => {
	const store = await temporaryStore();
	const { runId, products } = await storedRun(store);
	for (const [p, { id }] of products.entries()) {
		const name = `${p} ${'Bin '.repeat(19)}`.trim();
		await changeProduct(store, id, { name, role: 'tailings' });
	}
	for (let p = products.length; p < 12; p++) {
		await addProduct(store, randomUUID(), runId, { name: `${p} ${'Bin '.repeat(19)}`.trim(), role: 'tailings' });
	}
	const board = await getBoard(store, runId);
	const worked = await workOutBoard(store, POOL_HERE, board);
	expect(Math.max(...worked.account.warnings.map(({ message }) => message.length))).toBeGreaterThan(800);
	const told = warningsOf(board, board.products[0]!, worked);
	expect(told.some((sentence) => sentence.endsWith('Bin …'))).toBe(true);
	expect(recordSchema.shape.warnings.safeParse(told).success).toBe(true);
});
