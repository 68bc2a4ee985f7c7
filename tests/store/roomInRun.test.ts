import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import { MOST } from '@/lib/report/runFile';
import { addCheck } from '@/lib/store/checks';
import type { Store } from '@/lib/store/database';
import { exportRun } from '@/lib/store/exportRun';
import { addPhoto } from '@/lib/store/photos';
import { addProduct } from '@/lib/store/products';
import { openQuickCheck } from '@/lib/store/quickChecks';
import { getBoard } from '@/lib/store/workedRun';
import { storedRun, temporaryStore } from './temporaryStore';

function send(store: Store, productId: string, spreadId: string = randomUUID()): Promise<string> {
	const sha256 = randomUUID().replaceAll('-', '').repeat(2);
	const photo = { id: randomUUID(), spreadId, productId, originalName: 'tray.jpg' };
	return addPhoto(store, photo, { sha256, sizeBytes: 9 });
}

test('a run takes as many photos as its file holds, and says so of one more', async () => {
	const store = await temporaryStore();
	const { runId, products } = await storedRun(store);
	const [first, second] = products.map(({ id }) => id);
	const spread = randomUUID();
	for (let n = 0; n < MOST.photosOfSpread; n++) await send(store, first!, spread);
	await expect(send(store, first!, spread)).rejects.toThrow(`This spread has ${MOST.photosOfSpread} photos, the most`);
	for (let n = 1; n < MOST.spreadsOfBin; n++) await send(store, first!);
	await expect(send(store, first!)).rejects.toThrow(`This bin has ${MOST.spreadsOfBin} spreads, the most`);
	for (let n = MOST.photosOfSpread + MOST.spreadsOfBin - 1; n < MOST.photos; n++) await send(store, second!);
	await expect(send(store, second!)).rejects.toThrow(`This run has ${MOST.photos} photos, the most`);
	const { products: saved } = await exportRun(store, await getBoard(store, runId));
	expect(saved.flatMap(({ spreads = [] }) => spreads.flatMap(({ photos }) => photos))).toHaveLength(MOST.photos);
	// quick checks are bins of one run
	const quick = randomUUID();
	await openQuickCheck(store, quick);
	await send(store, quick);
});

test('a run takes so many bins, a bin so many checks; one that is sent twice is no more', async () => {
	const store = await temporaryStore();
	const { runId, products, productId } = await storedRun(store);
	const bin = (id: string) => addProduct(store, id, runId, { name: id, role: 'middlings' });
	const ids = Array.from({ length: MOST.bins - products.length }, () => randomUUID());
	for (const id of ids) await bin(id);
	expect(await bin(ids[0]!)).toBe(false);
	await expect(bin(randomUUID())).rejects.toThrow(`This run has ${MOST.bins} bins, the most`);
	const entry = { kind: 'magnet', sample: '50 g', pulled: '0.4 g' } as const;
	const check = (id: string) => addCheck(store, { id, productId, entry });
	const made = Array.from({ length: MOST.checksOfBin }, () => randomUUID());
	for (const id of made) await check(id);
	expect(await check(made[0]!)).toBe(false);
	await expect(check(randomUUID())).rejects.toThrow(`This bin has ${MOST.checksOfBin} checks, the most`);
});
