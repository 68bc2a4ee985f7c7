import { randomUUID } from 'node:crypto';
import { DeduplicateJoinsPlugin } from 'kysely';
import { expect, test } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { addCheck, removeCheck, restoreCheck } from '@/lib/store/checks';
import { readingChoiceSchema } from '@/lib/store/entries';
import { setTaught } from '@/lib/store/lessons';
import { addLot, changeLot, getLot, listLots, removeLot, restoreLot, saveNewLot } from '@/lib/store/lots';
import { saveMaterial } from '@/lib/store/materials';
import { choosePhotoReading, getPhoto, removePhoto, restorePhoto, setAside } from '@/lib/store/photos';
import {
	addProduct,
	changeProduct,
	getProduct,
	listProducts,
	removeProduct,
	restoreProduct,
	saveNewProduct,
	weighProduct,
} from '@/lib/store/products';
import { statedRuns } from '@/lib/store/runOrigin';
import { runsAsTheyStand, runsOfLot } from '@/lib/store/runSummaries';
import { addRun, changeRun, countRuns, getRun, listRuns, removeRun, restoreRun, saveNewRun } from '@/lib/store/runs';
import { sendTray, TRAY } from './sentTray';
import { LOT, RUN, storedRun, temporaryFolder, temporaryStore } from './temporaryStore';

test('a lot, its run and a weight are there after a stop, as they were typed', async () => {
	const folder = await temporaryFolder();
	const first = await temporaryStore(folder);
	const { lotId, runId, productId } = await storedRun(first);
	const weighing = {
		gross: '27,5 lb',
		tare: '2.1',
		unit: 'lb',
		moisture: { kind: 'fraction', fraction: '3 %' },
	} as const;
	await weighProduct(first, productId, weighing);
	await first.close();
	const second = await temporaryStore(folder);
	expect(await getLot(second, lotId)).toMatchObject(LOT);
	expect(await getRun(second, runId)).toMatchObject({ ...RUN, lotName: 'Lot A' });
	expect((await getProduct(second, productId)).weighing).toEqual(weighing);
});

test('a run starts with two concentrates, middlings and tailings', async () => {
	const store = await temporaryStore();
	const { products } = await storedRun(store);
	expect(products.map(({ name, role }) => [name, role])).toEqual([
		['Concentrate 1', 'concentrate'],
		['Concentrate 2', 'concentrate'],
		['Middlings', 'middlings'],
		['Tailings', 'tailings'],
	]);
});

test('a double tap makes one lot, one run and one product', async () => {
	const store = await temporaryStore();
	const [lotId, runId, productId] = [randomUUID(), randomUUID(), randomUUID()];
	for (let tap = 0; tap < 2; tap++) {
		await addLot(store, lotId, LOT);
		await addRun(store, runId, lotId, RUN);
		await addProduct(store, productId, runId, { name: 'Fines', role: 'tailings' });
	}
	expect(await listLots(store)).toHaveLength(1);
	expect(await listRuns(store)).toHaveLength(1);
	expect((await listProducts(store, runId)).map(({ name }) => name)).toEqual([
		'Concentrate 1',
		'Concentrate 2',
		'Middlings',
		'Tailings',
		'Fines',
	]);
});

test.each([
	['tare above gross', { gross: '1 kg', tare: '2 kg' }, /heavier than the full one/],
	['a negative weight', { gross: '-3 kg' }, /below zero/],
	['moisture of 100 %', { gross: '3 kg', moisture: { kind: 'fraction', fraction: '100 %' } }, /not a weighing/],
	['a weight of 300 tonnes', { gross: '300000 kg' }, /over 100 tonnes/],
] as const)('%s is refused and the earlier weight stays', async (_, weighing, reason) => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	await weighProduct(store, productId, { gross: '4.2 kg' });
	await expect(weighProduct(store, productId, weighing)).rejects.toThrow(reason);
	expect((await getProduct(store, productId)).weighing).toEqual({ gross: '4.2 kg' });
});

test('a settings value that no table has is refused', async () => {
	const store = await temporaryStore();
	const { runId } = await storedRun(store);
	await expect(changeRun(store, runId, { ...RUN, settings: { strokesPerMin: -5 } })).rejects.toThrow();
	expect((await getRun(store, runId)).settings).toEqual(RUN.settings);
});

test('what was removed is out of sight and comes back whole', async () => {
	const store = await temporaryStore();
	const { lotId, runId, productId } = await storedRun(store);
	await removeProduct(store, productId);
	expect(await listProducts(store, runId)).toHaveLength(3);
	await restoreProduct(store, productId);
	await removeRun(store, runId);
	await expect(getRun(store, runId)).rejects.toMatchObject({ code: 'not-found' });
	await restoreRun(store, runId);
	await removeLot(store, lotId);
	expect(await listRuns(store)).toEqual([]);
	await restoreLot(store, lotId);
	expect(await listRuns(store)).toHaveLength(1);
	expect(await listProducts(store, runId)).toHaveLength(4);
});

test.each([
	['was mended after its answer was lost', true, ['Second']],
	['was gone back to for another one', false, ['First', 'Second']],
])('a form of a lot, a run or a product that %s loses nothing', async (_, isRetry, kept) => {
	const store = await temporaryStore();
	const { lotId, runId } = await storedRun(store);
	const [lot, run, product] = [randomUUID(), randomUUID(), randomUUID()];
	for (const name of ['First', 'First', 'Second']) {
		const shownLot = await saveNewLot(store, lot, { ...LOT, name }, isRetry);
		expect((await getLot(store, shownLot)).name).toBe(name);
		const shownRun = await saveNewRun(store, run, lotId, { ...RUN, name }, isRetry);
		expect((await getRun(store, shownRun)).name).toBe(name);
		await saveNewProduct(store, product, runId, { name, role: 'tailings' }, isRetry);
	}
	const ours = (all: readonly { readonly name: string }[]) =>
		all
			.map(({ name }) => name)
			.filter((name) => /^(First|Second)$/.test(name))
			.sort();
	expect(ours(await listLots(store))).toEqual(kept);
	expect(ours(await listRuns(store))).toEqual(kept);
	expect(ours(await listProducts(store, runId))).toEqual(kept);
});

test('a photo for a bin whose run or lot was removed is not taken in, so that the phone keeps it', async () => {
	const store = await temporaryStore();
	const { lotId, runId, productId } = await storedRun(store);
	await removeRun(store, runId);
	await expect(sendTray(store, productId)).rejects.toMatchObject({ code: 'not-found' });
	await restoreRun(store, runId);
	await removeLot(store, lotId);
	await expect(sendTray(store, productId)).rejects.toMatchObject({ code: 'not-found' });
	await restoreLot(store, lotId);
	await expect(sendTray(store, productId)).resolves.toEqual(expect.any(String));
});

test('of a lot with more runs than are looked up in one go all are there, also in parts, and what was changed is seen', async () => {
	const store = await temporaryStore();
	const { lotId, runId } = await storedRun(store);
	for (let k = 0; k < 260; k++) await addRun(store, randomUUID(), lotId, RUN, [], k === 0);
	const ids = (await listRuns(store, { lotId })).map(({ id }) => id);
	expect(ids).toHaveLength(261);
	expect((await listRuns(store, { lotId, limit: 51, skip: 200 })).map(({ id }) => id)).toEqual(ids.slice(200, 251));
	expect((await listRuns(store, { ids: [runId] })).map(({ id }) => id)).toEqual([runId]);
	expect(await countRuns(store, { own: true })).toBe(260);
	const stated = await runsOfLot(store, lotId);
	expect(stated.map(({ run }) => run.id)).toEqual(ids.toReversed());
	expect(await runsOfLot(store, lotId)).toEqual(stated);
	expect(await runsAsTheyStand(store, { ids: [] })).toEqual([]);
	const listed = await runsAsTheyStand(store, { ids: [...ids.slice(90, 140), runId] });
	expect(listed.map(({ run }) => run.id)).toEqual(ids.filter((id, k) => id === runId || (k >= 90 && k < 140)));
	// none is looked up again
	expect(listed.every((one) => stated.includes(one))).toBe(true);
	await changeRun(store, runId, { ...RUN, name: 'Renamed' });
	const renamed = (await runsOfLot(store, lotId)).find(({ run }) => run.id === runId);
	expect(renamed?.run.name).toBe('Renamed');
	expect(renamed?.origin.key).not.toBe(stated.find(({ run }) => run.id === runId)?.origin.key);
});

test('of a lot those runs alone are looked up again that changed, and whatever changes is seen', async () => {
	const store = await temporaryStore();
	const { lotId, runId, productId } = await storedRun(store);
	const [otherId, productOfOther, checkId, key] = [randomUUID(), randomUUID(), randomUUID(), randomUUID()];
	await addRun(store, otherId, lotId, RUN, []);
	const reading = { key, result: '{}', engine_version: '1', took_ms: 1, created_at: '2026-03-05T10:00:00.000Z' };
	await store.db.insertInto('analysis').values(reading).execute();
	const first = await sendTray(store, productId);
	const second = await sendTray(store, productId, Buffer.concat([TRAY, Buffer.of(0)]));
	const read = (id: string) =>
		store.db.updateTable('photo').set({ state: 'graded', analysis_key: key }).where('id', '=', id).execute();
	const { spreadId } = await getPhoto(store, second);
	const sort = { kind: 'handSort', spread: 1, piles: { insulation: '3.1 g', brightCopper: '0.2 g' } } as const;
	const strip = { kind: 'strip', picks: 40, before: '2.10 g', copper: '0.12 g' } as const;
	const { name: material } = await saveMaterial(store, JSON.stringify({ ...BUILT_IN_MATERIALS[0], name: 'Own' }));
	// runs of one material learn from each other, so these concern both
	const both: (() => Promise<unknown>)[] = [
		() => addCheck(store, { id: checkId, productId, spreadId, entry: sort }),
		() => addCheck(store, { id: randomUUID(), productId, entry: strip }),
		() => changeProduct(store, productId, { name: 'Renamed', role: 'middlings' }),
		() => setTaught(store, checkId, false),
		() => setTaught(store, checkId, true),
		() => read(second),
		() => removePhoto(store, first),
		() => restorePhoto(store, first),
		() => removeCheck(store, checkId),
		() => restoreCheck(store, checkId),
		() => changeRun(store, runId, { ...RUN, name: 'Renamed' }),
		() => changeLot(store, lotId, { ...LOT, name: 'Renamed' }),
		() => changeRun(store, runId, { ...RUN, material }),
		() => changeRun(store, runId, { ...RUN, runDate: '2020-01-01' }),
		() => removeRun(store, runId),
		() => restoreRun(store, runId),
	];
	const one: (() => Promise<unknown>)[] = [
		() => weighProduct(store, productId, { gross: '5 kg' }),
		() => read(first),
		() => setAside(store, first),
		() => choosePhotoReading(store, first, readingChoiceSchema.parse({})),
		() => read(first),
		() => removeProduct(store, productId),
		() => restoreProduct(store, productId),
		() => addProduct(store, randomUUID(), runId, { name: 'More', role: 'tailings' }),
	];
	await addProduct(store, productOfOther, otherId, { name: 'Bin', role: 'tailings' });
	// no other asking has anything held of it
	const afresh = () => ({ ...store, db: store.db.withPlugin(new DeduplicateJoinsPlugin()) });
	const otherIn = async () => (await runsOfLot(store, lotId)).find(({ run }) => run.id === otherId);
	let before = await otherIn();
	for (const change of [...one, ...both]) {
		await change();
		const fresh = afresh();
		expect(await runsOfLot(store, lotId)).toEqual(
			await statedRuns(fresh, (await listRuns(fresh, { lotId })).toReversed()),
		);
		const now = await otherIn();
		if (one.includes(change)) expect(now, String(change)).toBe(before);
		before = now;
	}
});
