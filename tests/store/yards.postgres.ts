import { randomUUID } from 'node:crypto';
import { sql } from 'kysely';
import { expect, onTestFinished, test } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { classMapName, getAnalyses } from '@/lib/store/analyses';
import { addCheck, listChecks, removeCheck, restoreCheck } from '@/lib/store/checks';
import type { Store } from '@/lib/store/database';
import { addDevice, deviceOf, forgetDevice, listDevices, renameDevice } from '@/lib/store/devices';
import { holdWaiting, releaseStopped } from '@/lib/store/heldPhotos';
import { importRun } from '@/lib/store/importRun';
import { addLot, changeLot, getLot, listLots, removeLot, restoreLot } from '@/lib/store/lots';
import { getMaterial, listMaterials, saveMaterial } from '@/lib/store/materials';
import { photoName } from '@/lib/store/photoFiles';
import { addPhoto, choosePhotoReading, getPhoto, removePhoto, restorePhoto } from '@/lib/store/photos';
import { previewOf } from '@/lib/store/pictures';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { latestPrices, savePrices } from '@/lib/store/prices';
import {
	addProduct,
	changeProduct,
	getProduct,
	listProducts,
	removeProduct,
	restoreProduct,
	weighProduct,
} from '@/lib/store/products';
import { progressOf } from '@/lib/store/progress';
import { requeueMaterial, requeueRun } from '@/lib/store/readAnew';
import { addRun, changeRun, getRun, listRuns, removeRun, restoreRun } from '@/lib/store/runs';
import { getMatPrints, saveMatPrint } from '@/lib/store/settings';
import { signingKey } from '@/lib/store/signingKey';
import { listSpreads, weighSpread } from '@/lib/store/spreads';
import { getBoard } from '@/lib/store/workedRun';
import { gradedPhoto } from './filledStore';
import { freshDatabase, LOT, RUN, storedRun } from './temporaryStore';

async function database(): Promise<YardDatabase> {
	const yards = await openPostgres(await freshDatabase(process.env.TEST_DATABASE_URL ?? ''));
	onTestFinished(() => yards.close());
	return yards;
}

/** A yard with something in every table that people fill. */
async function filledYard(store: Store, name: string) {
	const ids = await storedRun(store);
	const photo = await gradedPhoto(store, ids.productId, name);
	const { spreadId } = await getPhoto(store, photo.id);
	const waiting = await addPhoto(
		store,
		{ id: randomUUID(), spreadId: randomUUID(), productId: ids.productId, originalName: 'waits.jpg' },
		{ sha256: 'ab'.repeat(32), sizeBytes: 9 },
	);
	const checkId = randomUUID();
	const entry = { kind: 'magnet', sample: '50,0 g', pulled: '0.4' } as const;
	await addCheck(store, { id: checkId, productId: ids.productId, entry });
	const copper = {
		price: { amount: name.length, currency: 'EUR', per: 'kg' },
		date: '2026-05-12',
		note: 'invented',
		payable: 0.8,
	} as const;
	await savePrices(store, randomUUID(), { deckside: 'prices/1', metals: { copper } });
	await saveMatPrint(store, { size: 'A4', checkLineMm: 90 + name.length, measuredOn: '2026-03-05' });
	await saveMaterial(store, JSON.stringify({ ...BUILT_IN_MATERIALS[0], name: 'Own', note: name }));
	const token = await addDevice(store, `${name} phone`);
	const [device] = await listDevices(store);
	const { fingerprint } = await signingKey(store);
	return { ...ids, photo, spreadId, waiting, checkId, token, deviceId: device!.id, fingerprint };
}

/** Tables of our own; the line of photos has its, which no query of a yard names. */
async function tablesOf({ everyYard }: YardDatabase) {
	return (await everyYard.introspection.getTables()).filter(({ schema }) => schema === 'public');
}

/** Every row that belongs to a yard, table by table, and the places of its photos in the line. */
async function rowsOf(yards: YardDatabase, yard: string) {
	const { everyYard } = yards;
	const tables = await tablesOf(yards);
	const line = await sql`select * from pgboss.job where data ->> 'yard' = ${yard} order by id`.execute(everyYard);
	const rows: Record<string, unknown[]> = { line: line.rows };
	for (const { name } of tables) {
		const found = await sql`select * from ${sql.table(name)} where yard_id = ${yard} order by 1, 2`.execute(everyYard);
		rows[name] = found.rows;
	}
	return rows;
}

test('every table says whose its rows are', async () => {
	const tables = await tablesOf(await database());
	const without = tables.filter(({ columns }) => !columns.some(({ name }) => name === 'yard_id'));
	expect(without.map(({ name }) => name)).toEqual([]);
	expect(tables.length).toBeGreaterThan(13);
});

test('two yards that do the same under the same names each find their own', async () => {
	const yards = await database();
	const [a, b] = [yards.storeOf('north'), yards.storeOf('south-yard')];
	const [ofA, ofB] = [await filledYard(a, 'north'), await filledYard(b, 'south-yard')];
	expect((await listRuns(a)).map(({ id }) => id)).toEqual([ofA.runId]);
	expect((await listLots(b)).map(({ id, runs }) => [id, runs])).toEqual([[ofB.lotId, 1]]);
	expect((await getMatPrints(a)).A4?.checkLineMm).toBe(95);
	expect((await getMatPrints(b)).A4?.checkLineMm).toBe(100);
	expect((await getMaterial(a, 'Own')).note).toBe('north');
	expect((await listMaterials(b)).at(-1)?.note).toBe('south-yard');
	expect((await latestPrices(a))?.sheet.metals.copper?.price.amount).toBe(5);
	expect((await latestPrices(b))?.sheet.metals.copper?.price.amount).toBe(10);
	expect(await progressOf(a)).toMatchObject({ photos: 2, graded: 1, open: 1 });
	expect(await deviceOf(b, ofA.token)).toBeUndefined();
	expect(ofA.fingerprint).not.toBe(ofB.fingerprint);
});

test('what another yard reads by stolen ids is not there', async () => {
	const yards = await database();
	const [a, thief] = [yards.storeOf('a'), yards.storeOf('b')];
	const its = await filledYard(a, 'a');
	const notThere = { code: 'not-found' };
	await expect(getLot(thief, its.lotId)).rejects.toMatchObject(notThere);
	await expect(getRun(thief, its.runId)).rejects.toMatchObject(notThere);
	await expect(getBoard(thief, its.runId)).rejects.toMatchObject(notThere);
	await expect(getProduct(thief, its.productId)).rejects.toMatchObject(notThere);
	await expect(getPhoto(thief, its.photo.id)).rejects.toMatchObject(notThere);
	await expect(removeCheck(thief, its.checkId)).rejects.toMatchObject(notThere);
	await expect(restoreCheck(thief, its.checkId)).rejects.toMatchObject(notThere);
	await expect(getMaterial(thief, 'Own')).rejects.toMatchObject({ code: 'material-unreadable' });
	await expect(previewOf(thief, its.photo.sha256)).rejects.toMatchObject({
		message: expect.stringContaining('missing'),
	});
	expect(await thief.files.read(classMapName(its.photo.key))).toBeUndefined();
	expect(await thief.files.read(photoName(its.photo.sha256))).toBeUndefined();
	expect(await thief.files.list('')).toEqual([]);
	expect(await getAnalyses(thief, [its.photo.key])).toEqual(new Map());
	expect(await listRuns(thief, { lotId: its.lotId })).toEqual([]);
	expect(await listProducts(thief, its.runId)).toEqual([]);
	expect(await listSpreads(thief, its.productId)).toEqual([]);
	expect(await listChecks(thief, [its.productId])).toEqual([]);
	expect(await progressOf(thief, its.runId)).toMatchObject({ photos: 0 });
	expect(await latestPrices(thief)).toBeUndefined();
	expect(await getMatPrints(thief)).toEqual({});
	expect(await listDevices(thief)).toEqual([]);
});

test('a run file that names the checksum of another yard’s photo does not bring that photo along', async () => {
	const yards = await database();
	const its = await filledYard(yards.storeOf('a'), 'a');
	const thief = yards.storeOf('b');
	const photo = { photo: 'stolen.jpg', sha256: its.photo.sha256 };
	const product = { name: 'Bin', role: 'tailings', photos: [photo] };
	const { missingPhotos } = await importRun(
		thief,
		JSON.stringify({ deckside: 'run/1', name: 'Run', products: [product] }),
	);
	expect(missingPhotos).toEqual(['stolen.jpg']);
});

test('what another yard changes, removes or hangs on by stolen ids stays as it was', async () => {
	const yards = await database();
	const [a, thief] = [yards.storeOf('a'), yards.storeOf('b')];
	const its = await filledYard(a, 'a');
	await filledYard(thief, 'b');
	const before = await rowsOf(yards, 'a');
	expect(before.line).not.toEqual([]);
	const attempts: (() => Promise<unknown>)[] = [
		() => changeLot(thief, its.lotId, { ...LOT, name: 'stolen' }),
		() => changeRun(thief, its.runId, { ...RUN, name: 'stolen' }),
		() => changeProduct(thief, its.productId, { name: 'stolen', role: 'tailings' }),
		() => weighProduct(thief, its.productId, { gross: '1 kg' }),
		() => weighSpread(thief, its.spreadId, 1, 'kg'),
		() => choosePhotoReading(thief, its.photo.id, { surface: 'tray', method: 'threshold' }),
		() => requeueRun(thief, its.runId),
		() => requeueMaterial(thief, RUN.material),
		() => holdWaiting(thief),
		() => releaseStopped(thief),
		() => removeLot(thief, its.lotId),
		() => removeRun(thief, its.runId),
		() => removeProduct(thief, its.productId),
		() => removePhoto(thief, its.photo.id),
		() => restoreLot(thief, its.lotId),
		() => restoreRun(thief, its.runId),
		() => restoreProduct(thief, its.productId),
		() => restorePhoto(thief, its.photo.id),
		() => renameDevice(thief, its.deviceId, 'stolen'),
		() => forgetDevice(thief, its.deviceId),
		() => addRun(thief, its.runId, its.lotId, RUN),
		() => thief.files.write(photoName(its.photo.sha256), Buffer.from('forged')),
		() => thief.db.deleteFrom('photo').execute(),
		() => thief.db.updateTable('run').set({ name: 'stolen' }).execute(),
	];
	for (const attempt of attempts) await attempt().catch(() => undefined);
	expect(await rowsOf(yards, 'a')).toEqual(before);
});

test('a row cannot hang on another yard’s row', async () => {
	const yards = await database();
	const its = await filledYard(yards.storeOf('a'), 'a');
	const thief = yards.storeOf('b');
	const kept = { sha256: its.photo.sha256, sizeBytes: 9 };
	const photo = { id: randomUUID(), spreadId: randomUUID(), productId: its.productId, originalName: 'x.jpg' };
	await expect(addRun(thief, randomUUID(), its.lotId, RUN)).rejects.toThrow(/run_lot_id_of_yard/);
	await expect(addProduct(thief, randomUUID(), its.runId, { name: 'x', role: 'tailings' })).rejects.toThrow(/of_yard/);
	await expect(addPhoto(thief, photo, kept)).rejects.toThrow(/of_yard/);
	expect((await rowsOf(yards, 'b')).photo).toEqual([]);
});

test('a text with a sign that the database cannot keep is refused in a sentence', async () => {
	const store = (await database()).storeOf('a');
	const named = { ...LOT, name: 'Lot\0A' };
	await expect(addLot(store, randomUUID(), named)).rejects.toMatchObject({ code: 'usage' });
	expect(await listLots(store)).toEqual([]);
});

test('a database of a newer version is refused and left as it was', async () => {
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const yards = await openPostgres(url);
	await sql`insert into kysely_migration (name, timestamp) values ('9999-newer', '2030')`.execute(yards.everyYard);
	await yards.close();
	await expect(openPostgres(url)).rejects.toMatchObject({ message: expect.stringContaining('another version') });
});

test('a server that is not there is told in a sentence', async () => {
	await expect(openPostgres('postgres://127.0.0.1:1/none')).rejects.toMatchObject({
		code: 'storage',
		message: 'The database server cannot be reached.',
	});
});
