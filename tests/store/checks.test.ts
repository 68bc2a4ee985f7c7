import { randomUUID } from 'node:crypto';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { expect, test } from 'vitest';
import { addCheck, checksWithPlaces, listChecks, removeCheck, restoreCheck, saveNewCheck } from '@/lib/store/checks';
import { openStore } from '@/lib/store/database';
import { addLot } from '@/lib/store/lots';
import { listProducts } from '@/lib/store/products';
import { addRun } from '@/lib/store/runs';

async function storeWithProduct() {
	const store = await openStore(mkdtempSync(path.join(tmpdir(), 'deckside-checks-')));
	const [lotId, runId] = [randomUUID(), randomUUID()];
	await addLot(store, lotId, {
		name: 'Lot',
		source: '',
		receivedMassKg: null,
		receivedUnit: 'kg',
		treatment: '',
		notes: '',
	});
	await addRun(store, runId, lotId, {
		name: 'Run',
		runDate: '2026-05-12',
		settings: {},
		feed: {},
		notes: '',
		material: 'Mixed cable waste',
	});
	const [product] = await listProducts(store, runId);
	return { store, productId: product!.id };
}

const magnet = { kind: 'magnet', sample: '50,0 g', pulled: '0.4' } as const;

test('a check is kept as it was typed, once however often it is sent', async () => {
	const { store, productId } = await storeWithProduct();
	const id = randomUUID();
	await addCheck(store, { id, productId, entry: magnet });
	await addCheck(store, { id, productId, entry: magnet });
	expect(await listChecks(store, [productId])).toEqual([{ id, productId, entry: magnet }]);
	await store.close();
});

test('a check that was mended after its answer was lost stands as it was mended', async () => {
	const { store, productId } = await storeWithProduct();
	const id = randomUUID();
	await saveNewCheck(store, { id, productId, entry: magnet }, false);
	await saveNewCheck(store, { id, productId, entry: { ...magnet, pulled: '0.5' } }, true);
	expect(await listChecks(store, [productId])).toEqual([{ id, productId, entry: { ...magnet, pulled: '0.5' } }]);
	await store.close();
});

test('a removed check is out of sight and can be brought back', async () => {
	const { store, productId } = await storeWithProduct();
	const id = randomUUID();
	await addCheck(store, { id, productId, entry: magnet });
	expect(await removeCheck(store, id)).toBe(productId);
	expect(await listChecks(store, [productId])).toEqual([]);
	expect(await restoreCheck(store, id)).toBe(productId);
	expect(await listChecks(store, [productId])).toHaveLength(1);
	await store.close();
});

test('a check that cannot be is not kept', async () => {
	const { store, productId } = await storeWithProduct();
	const entry = { ...magnet, pulled: '60 g' };
	await expect(addCheck(store, { id: randomUUID(), productId, entry })).rejects.toThrow('pulled out more');
	expect(await listChecks(store, [productId])).toEqual([]);
	await store.close();
});

test('a hand sort finds its spread wherever that stands now, and does not count without it', () => {
	const sort = {
		id: 'c',
		productId: 'p',
		spreadId: 'b',
		entry: { kind: 'handSort', spread: 1, piles: { insulation: '3 g' } },
	} as const;
	expect(checksWithPlaces([sort], ['a', 'b'])).toEqual([{ ...sort.entry, spread: 2 }]);
	expect(checksWithPlaces([sort], ['a'])).toEqual([]);
});
