import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import type { PrintedScale } from '@/lib/photo/matGeometry';
import { addCheck } from '@/lib/store/checks';
import type { Store } from '@/lib/store/database';
import { readingChoiceSchema } from '@/lib/store/entries';
import { exportRun } from '@/lib/store/exportRun';
import { importRun } from '@/lib/store/importRun';
import { returnLostPhoto } from '@/lib/store/lostPhotos';
import { keepPhoto } from '@/lib/store/photoFiles';
import { addPhoto, setAside } from '@/lib/store/photos';
import { changeProduct, removeProduct, weighProduct } from '@/lib/store/products';
import { analysisKey } from '@/lib/store/readWaiting';
import { matScaleOf, saveMatPrint } from '@/lib/store/settings';
import { weighSpread } from '@/lib/store/spreads';
import { getBoard } from '@/lib/store/workedRun';
import { inPieces, storedRun, temporaryStore } from './temporaryStore';

const jpeg = (name: string) => inPieces(new TextEncoder().encode(name.repeat(100)));

/** A run with a weighed bin and two photos of one weighed spread that was sorted by hand; one photo is read in its own way. */
async function filledRun(store: Store): Promise<string> {
	const { runId, productId } = await storedRun(store);
	await weighProduct(store, productId, { gross: '5,07', tare: '0.78', unit: 'kg', scale: 'hanging scale' });
	const spreadId = randomUUID();
	for (const name of ['first.jpg', 'second.jpg']) {
		const kept = await keepPhoto(store.files, jpeg(name));
		const choice =
			name === 'first.jpg'
				? { surface: 'mat', method: 'threshold', material: 'Mixed cable waste' }
				: { surface: 'auto' };
		const sent = { id: randomUUID(), spreadId, productId, originalName: name };
		await addPhoto(store, sent, kept, readingChoiceSchema.parse(choice));
	}
	await weighSpread(store, spreadId, 0.0124, 'g');
	await addCheck(store, {
		id: randomUUID(),
		productId,
		spreadId,
		entry: { kind: 'handSort', spread: 1, piles: { insulation: '3.10 g' } },
	});
	await addCheck(store, { id: randomUUID(), productId, entry: { kind: 'magnet', sample: '50 g', pulled: '0.4 g' } });
	return runId;
}

test('a run saved as a file and taken in again is the same run, its photos found by their checksums', async () => {
	const store = await temporaryStore();
	const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
	const { runId, missingPhotos } = await importRun(store, JSON.stringify(saved));
	expect(missingPhotos).toEqual([]);
	expect(await exportRun(store, await getBoard(store, runId))).toEqual(saved);
});

test('what the mat measured goes along with its photos', async () => {
	const store = await temporaryStore();
	const runId = await filledRun(store);
	await saveMatPrint(store, { size: 'A4', checkLineMm: 98, measuredOn: '2026-03-05' });
	const saved = await exportRun(store, await getBoard(store, runId));
	expect(saved.products[0]!.spreads![0]!.photos).toMatchObject([
		{ printedScale: { A4: 0.98 } },
		{ printedScale: { A4: 0.98 } },
	]);
	// elsewhere, where another mat was measured, the run is still read as it was
	const other = await temporaryStore();
	await saveMatPrint(other, { size: 'A4', checkLineMm: 103, measuredOn: '2026-03-05' });
	const board = await getBoard(other, (await importRun(other, JSON.stringify(saved))).runId);
	const [photo] = board.products[0]!.spreads[0]!.photos;
	expect(await matScaleOf(other, photo!.choice)).toEqual({ A4: 0.98 });
	expect(await exportRun(other, board)).toEqual(saved);
});

test('a photo whose file says nothing of its mat is read as the command line reads it, not at the scale measured here', async () => {
	const store = await temporaryStore();
	const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
	const [spread] = saved.products[0]!.spreads!;
	expect(spread!.photos).toMatchObject([{ printedScale: 1 }, { printedScale: 1 }]);
	const silent = structuredClone(saved);
	for (const photo of silent.products[0]!.spreads![0]!.photos) if (typeof photo === 'object') delete photo.printedScale;
	const other = await temporaryStore();
	await saveMatPrint(other, { size: 'A4', checkLineMm: 103, measuredOn: '2026-03-05' });
	const board = await getBoard(other, (await importRun(other, JSON.stringify(silent))).runId);
	expect(await matScaleOf(other, board.products[0]!.spreads[0]!.photos[0]!.choice)).toBe(1);
});

test('a photo whose file says its scale is not read anew where it was read at that scale', async () => {
	const material = BUILT_IN_MATERIALS[0];
	const choice = readingChoiceSchema.parse({ surface: 'mat' });
	const key = (printedScale: PrintedScale | undefined, matScale: PrintedScale) =>
		analysisKey('a'.repeat(64), { choice: { ...choice, ...(printedScale && { printedScale }) }, material, matScale });
	expect(key(1, 1)).toBe(key(undefined, 1));
	expect(key(0.98, 0.98)).toBe(key(undefined, 0.98));
	expect(key(0.98, 0.98)).not.toBe(key(undefined, 1));
	expect(key({ A5: 0.98 }, { A5: 0.98 })).toBe(key(undefined, { A5: 0.98 }));
});

test('a photo that was taken again is set aside in the file, and does not count where that is taken in', async () => {
	const store = await temporaryStore();
	const before = await getBoard(store, await filledRun(store));
	const { photos } = before.products[0]!.spreads[0]!;
	await setAside(store, photos[0]!.id);
	const saved = await exportRun(store, await getBoard(store, before.run.id));
	expect(saved.products[0]!.spreads![0]!.photos).toMatchObject([{ setAside: true }, { photo: 'second.jpg' }]);
	const { runId } = await importRun(store, JSON.stringify(saved));
	const { products } = await getBoard(store, runId);
	expect(products[0]!.spreads[0]!.photos.map(({ state }) => state.kind)).toEqual(['held', 'queued']);
});

test('products of one name are told apart in the file, also from one that bears such a name', async () => {
	const store = await temporaryStore();
	const { runId, products } = await storedRun(store);
	const long = 'x'.repeat(80);
	for (const [p, name] of ['Bin', 'bin', 'Bin (2)', 'Bin'].entries())
		await changeProduct(store, products[p]!.id, { name, role: 'tailings' });
	const names = async () => (await exportRun(store, await getBoard(store, runId))).products.map(({ name }) => name);
	expect(await names()).toEqual(['Bin', 'bin (3)', 'Bin (2)', 'Bin (4)']);
	for (const { id } of products.slice(0, 2)) await changeProduct(store, id, { name: long, role: 'tailings' });
	expect((await names()).slice(0, 2)).toEqual([long, `${'x'.repeat(76)} (2)`]);
});

test('a run without products is not saved, and says why', async () => {
	const store = await temporaryStore();
	const { runId, products } = await storedRun(store);
	for (const { id } of products) await removeProduct(store, id);
	await expect(exportRun(store, await getBoard(store, runId))).rejects.toMatchObject({ code: 'usage' });
});

test('where the originals are not, the run is taken in without photos and they are named', async () => {
	const store = await temporaryStore();
	const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
	const other = await temporaryStore();
	const { runId, missingPhotos } = await importRun(other, JSON.stringify(saved));
	expect(missingPhotos).toEqual(['first.jpg', 'second.jpg']);
	const again = await exportRun(other, await getBoard(other, runId));
	expect(again.products.map(({ name, weighing }) => [name, weighing])).toEqual(
		saved.products.map(({ name, weighing }) => [name, weighing]),
	);
	expect(again.settings).toEqual(saved.settings);
});

test('a missing photo keeps its place with the sort of its spread, and goes there when it is sent again', async () => {
	const store = await temporaryStore();
	const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
	const other = await temporaryStore();
	const { runId } = await importRun(other, JSON.stringify(saved));
	const { products } = await getBoard(other, runId);
	const product = products.find(({ spreads }) => spreads.length > 0)!;
	expect(product.checks.map(({ entry }) => entry.kind)).toEqual(['handSort', 'magnet']);
	const sent = { id: randomUUID(), spreadId: randomUUID(), productId: product.id, originalName: 'first.jpg' };
	const lost = await returnLostPhoto(other, product.id, await keepPhoto(other.files, jpeg('first.jpg')));
	expect(lost).toBe(product.spreads[0]!.photos[0]!.id);
	// once it is back, the same bytes are a photo like any other
	const again = await keepPhoto(other.files, jpeg('first.jpg'));
	expect(await returnLostPhoto(other, sent.productId, again)).toBeUndefined();
	expect(await exportRun(other, await getBoard(other, runId))).toEqual(saved);
});

test('photos without a checksum are told apart, and a sort of their spread is left out', async () => {
	const store = await temporaryStore();
	const file = {
		deckside: 'run/1',
		name: 'By hand',
		products: [
			{
				name: 'Concentrate',
				role: 'concentrate',
				photos: ['one.jpg'],
				checks: [{ kind: 'handSort', spread: 1, piles: { insulation: '3 g' } }],
			},
		],
	};
	const { runId, missingPhotos, unknownPhotos } = await importRun(store, JSON.stringify(file));
	expect([missingPhotos, unknownPhotos]).toEqual([[], ['one.jpg']]);
	expect((await getBoard(store, runId)).products[0]!.checks).toEqual([]);
});

test('a file that is not JSON, of another form, or of an unknown material is refused with a sentence', async () => {
	const store = await temporaryStore();
	await expect(importRun(store, '{')).rejects.toThrow('not JSON');
	await expect(importRun(store, '{"deckside":"run/9","name":"x","products":[]}')).rejects.toThrow('not a run file');
	const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
	const unknown = JSON.stringify({ ...saved, material: 'moon dust' });
	await expect(importRun(store, unknown)).rejects.toThrow('moon dust');
	const [bin, ...others] = saved.products;
	for (const [odd, words] of [
		[[], 'It is not a run file.'],
		[{ ...saved, name: 7 }, 'The entry must be text. (name)'],
		[{ ...saved, settings: { strokesPerMin: -1e308 } }, 'The entry must be above 0. (settings.strokesPerMin)'],
		[{ ...saved, products: undefined }, 'An entry is missing. (products)'],
		[{ ...saved, products: [{ ...bin, role: 'gold' }] }, 'one of: concentrate, middlings, tailings. (products.0.role)'],
		[
			{ ...saved, products: [{ ...bin, weighing: { gross: '-5 kg' } }, ...others] },
			`${bin?.name}: The gross weight is below`,
		],
	] as const) {
		await expect(importRun(store, JSON.stringify(odd))).rejects.toThrow(words);
	}
});

test('a run from a lot of another source does not land in the lot that has the same name', async () => {
	const store = await temporaryStore();
	const saved = await exportRun(store, await getBoard(store, await filledRun(store)));
	const taken = async (source: string) => {
		const { runId } = await importRun(store, JSON.stringify({ ...saved, lot: { ...saved.lot, source } }));
		return (await getBoard(store, runId)).run.lotId;
	};
	const [north, south] = [await taken('North yard'), await taken('South yard')];
	expect(south).not.toBe(north);
	expect(await taken('South yard')).toBe(south);
});
