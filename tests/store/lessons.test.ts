import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import type { AccountOrder, WorkedRun } from '@/lib/store/analysis';
import { addCheck } from '@/lib/store/checks';
import { exportRun } from '@/lib/store/exportRun';
import { importRun } from '@/lib/store/importRun';
import { keptInFull } from '@/lib/store/keptResult';
import { lessonsFor, listLessons, setTaught } from '@/lib/store/lessons';
import { POOL_HERE } from '@/lib/store/poolHere';
import { changeProduct } from '@/lib/store/products';
import { originOf, statedRuns } from '@/lib/store/runOrigin';
import { changeRun, getRun } from '@/lib/store/runs';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { RUN, storedRun, temporaryStore } from './temporaryStore';

const strip = { kind: 'strip', picks: 40, before: '2.10 g', copper: '0.12 g' } as const;
const magnet = { kind: 'magnet', sample: '50 g', pulled: '0.4 g' } as const;

test('a strip of one run counts for another of the same material until it is left out, and again after', async () => {
	const store = await temporaryStore();
	const [taught, other] = [await storedRun(store), await storedRun(store)];
	const checkId = randomUUID();
	await addCheck(store, { id: checkId, productId: taught.productId, entry: strip });
	await addCheck(store, { id: randomUUID(), productId: taught.productId, entry: magnet });
	const run = await getRun(store, other.runId);
	expect((await lessonsFor(store, run)).map(({ check }) => check)).toEqual([strip]);
	// its own run has it already
	expect(await lessonsFor(store, await getRun(store, taught.runId))).toEqual([]);
	await setTaught(store, checkId, false);
	expect(await lessonsFor(store, run)).toEqual([]);
	expect((await listLessons(store, run)).map(({ isTaught }) => isTaught)).toEqual([false]);
	await setTaught(store, checkId, true);
	expect(await lessonsFor(store, run)).toHaveLength(1);
});

test('what a run rests on is told alike with its readings and without, and is another once a check teaches it', async () => {
	const store = await temporaryStore();
	const [taught, other] = [await storedRun(store), await storedRun(store)];
	const keys = async () => {
		const [listed] = await statedRuns(store, [await getRun(store, other.runId)]);
		return [listed!.origin, await originOf(store, await getBoard(store, other.runId))];
	};
	const before = await keys();
	expect(before[0]).toEqual(before[1]);
	await addCheck(store, { id: randomUUID(), productId: taught.productId, entry: strip });
	const after = await keys();
	expect(after[0]).toEqual(after[1]);
	expect(after[0]!.key).not.toBe(before[0]!.key);
});

test('a run that teaches and is called something else is told by its new name, and nothing is worked out again', async () => {
	const store = await temporaryStore();
	const [taught, other] = [await storedRun(store), await storedRun(store)];
	await addCheck(store, { id: randomUUID(), productId: taught.productId, entry: strip });
	const asked: AccountOrder[] = [];
	const workOutRun = async (order: AccountOrder) => {
		asked.push(order);
		const [{ label } = { label: '' }] = order.lessons;
		const sorting = { piles: [{ label }], idle: [{ label: 'spread 1 of Middlings' }], partial: [], points: [] };
		return { sorting } as unknown as WorkedRun;
	};
	const piles = async () => {
		const { sorting } = await workOutBoard(store, { ...POOL_HERE, workOutRun }, await getBoard(store, other.runId));
		expect(sorting.idle).toEqual([{ label: 'spread 1 of Middlings' }]);
		return sorting.piles.map(({ label }) => label);
	};
	expect(await piles()).toEqual(['Concentrate 1, Run 1']);
	await keptInFull();
	await changeRun(store, taught.runId, { ...RUN, name: 'The wet one' });
	await changeProduct(store, taught.productId, { name: 'Tray', role: 'concentrate' });
	expect(await piles()).toEqual(['Tray, The wet one']);
	expect(asked).toHaveLength(1);
});

test('another material and the demonstration learn nothing from it', async () => {
	const store = await temporaryStore();
	const { runId, productId } = await storedRun(store);
	await addCheck(store, { id: randomUUID(), productId, entry: strip });
	const run = { id: randomUUID(), material: (await getRun(store, runId)).material, demo: false };
	expect(await lessonsFor(store, run)).toHaveLength(1);
	expect(await lessonsFor(store, { ...run, material: 'Another' })).toEqual([]);
	expect(await lessonsFor(store, { ...run, demo: true })).toEqual([]);
});

test('a run file holds what other runs taught, and the same check taken in twice counts once', async () => {
	const store = await temporaryStore();
	const [taught, other] = [await storedRun(store), await storedRun(store)];
	await addCheck(store, { id: randomUUID(), productId: taught.productId, entry: strip });
	const saved = await exportRun(store, await getBoard(store, other.runId));
	expect(saved.lessons?.map(({ check }) => check)).toEqual([strip]);
	await importRun(store, JSON.stringify(await exportRun(store, await getBoard(store, taught.runId))));
	expect(await lessonsFor(store, await getRun(store, other.runId))).toHaveLength(1);
	expect(await lessonsFor(store, await getRun(store, taught.runId))).toEqual([]);
});

test('leaving out a check that is not there is refused', async () => {
	await expect(setTaught(await temporaryStore(), randomUUID(), false)).rejects.toThrow();
});
