import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { warningsOfBoard } from '@/lib/store/boardWarnings';
import { addCheck, listChecks } from '@/lib/store/checks';
import { loadDemo, loadDemoOnFirstStart, removeDemo } from '@/lib/store/demo';
import { exportRun } from '@/lib/store/exportRun';
import { importRun } from '@/lib/store/importRun';
import { addLot, listLots } from '@/lib/store/lots';
import { addPhoto } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { progressOf } from '@/lib/store/progress';
import { listRuns } from '@/lib/store/runs';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { LOT, storedRun, temporaryStore } from './temporaryStore';

test('the demonstration is loaded on the first start with nothing worked out beforehand', async () => {
	const store = await temporaryStore();
	await loadDemoOnFirstStart(store);
	const [run] = await listRuns(store);
	expect(run).toMatchObject({ demo: true, name: 'Demonstration run' });
	expect(await progressOf(store)).toMatchObject({ photos: 12, open: 12, graded: 0 });
	expect(await store.db.selectFrom('analysis').selectAll().execute()).toEqual([]);
});

test('a first start that was cut off half-way through it loads all of it the next time', async () => {
	const store = await temporaryStore();
	await loadDemo(store);
	await store.db.deleteFrom('photo').execute();
	await store.db.deleteFrom('spread').execute();
	await loadDemoOnFirstStart(store);
	expect(await listRuns(store)).toHaveLength(1);
	expect(await progressOf(store)).toMatchObject({ photos: 12 });
});

test('once removed it stays away at the next start, and can be loaded again', async () => {
	const store = await temporaryStore();
	await loadDemoOnFirstStart(store);
	await removeDemo(store);
	await loadDemoOnFirstStart(store);
	expect(await listRuns(store)).toEqual([]);
	expect(await listLots(store)).toEqual([]);
	const again = await loadDemo(store);
	expect(await loadDemo(store)).toBe(again);
	expect(await listRuns(store)).toHaveLength(1);
});

test('removed with the checks tried on it, it leaves a picture that stands in a run of the user its reading', async () => {
	const store = await temporaryStore();
	const { products } = await getBoard(store, await loadDemo(store));
	const [first, second] = products.flatMap(({ spreads }) => spreads.flatMap(({ photos }) => photos));
	for (const { id, sha256 } of [first!, second!]) {
		await store.db.updateTable('photo').set({ state: 'graded', analysis_key: sha256 }).where('id', '=', id).execute();
		const reading = { key: sha256, result: '{}', engine_version: '1', took_ms: 1, created_at: '2026-03-05' };
		await store.db.insertInto('analysis').values(reading).execute();
	}
	const entry = { kind: 'magnet', sample: '50 g', pulled: '0.4 g' } as const;
	await addCheck(store, { id: randomUUID(), productId: products[0]!.id, entry });
	const { productId } = await storedRun(store);
	const own = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: 'own.jpg' };
	await addPhoto(store, own, { sha256: first!.sha256, sizeBytes: first!.sizeBytes });
	const read = { state: 'graded', analysis_key: first!.sha256 };
	await store.db.updateTable('photo').set(read).where('id', '=', own.id).execute();
	await removeDemo(store);
	expect(await listChecks(store, [products[0]!.id])).toEqual([]);
	expect(await store.db.selectFrom('analysis').select('key').execute()).toEqual([{ key: first!.sha256 }]);
});

test('the demonstration saved as a file and taken in again is still marked as one, by itself, in its lot and in its files', async () => {
	const store = await temporaryStore();
	const saved = await exportRun(store, await getBoard(store, await loadDemo(store)));
	// here is a lot of the same name that is the person's own
	const other = await temporaryStore();
	const ownLot = { ...LOT, name: 'Demonstration lot', source: '' };
	await addLot(other, randomUUID(), ownLot);
	const taken = await getBoard(other, (await importRun(other, JSON.stringify(saved))).runId);
	expect(taken.run.demo).toBe(true);
	expect((await listLots(other)).find(({ id }) => id === taken.run.lotId)).toMatchObject({ demo: true });
	expect(await exportRun(other, taken)).toEqual(saved);
	expect(warningsOfBoard(taken, await workOutBoard(other, POOL_HERE, taken))[0]).toMatchObject({
		code: 'demonstration',
	});
	// and what is not marked stays the person's own
	const { demo: _, ...own } = saved;
	const unmarked = (await getBoard(other, (await importRun(other, JSON.stringify(own))).runId)).run;
	expect(unmarked.demo).toBe(false);
	expect(unmarked.lotId).not.toBe(taken.run.lotId);
	await removeDemo(other);
	expect((await listRuns(other)).map(({ id }) => id)).toEqual([unmarked.id]);
});

test('the run saved as a file says what the demonstration file said', async () => {
	const store = await temporaryStore();
	const runId = await loadDemo(store);
	const saved = await exportRun(store, await getBoard(store, runId));
	const original = JSON.parse(await readFile('demo-images/run.json', 'utf8'));
	expect(saved.feed).toEqual(original.feed);
	expect(saved.settings).toEqual(original.settings);
	expect(saved.scales).toEqual(original.scales);
	expect(saved.products.map(({ weighing }) => weighing)).toEqual(
		original.products.map(({ weighing }: { weighing: unknown }) => weighing),
	);
	const photos = saved.products.flatMap(({ spreads }) => spreads?.flatMap((spread) => spread.photos) ?? []);
	expect(photos.map((photo) => (typeof photo === 'string' ? photo : photo.photo))).toEqual(
		original.products.flatMap(({ photos }: { photos: string[] }) => photos),
	);
});
