import { randomUUID } from 'node:crypto';
import { rm, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { recordJson } from '@/lib/report/recordFiles';
import { isUntouched } from '@/lib/report/verifySentences';
import { checkYard } from '@/lib/store/checkYard';
import { openStore, type Store } from '@/lib/store/database';
import { addDevice } from '@/lib/store/devices';
import { moveDirectory } from '@/lib/store/moveDirectory';
import type { ObjectPlace } from '@/lib/store/objectPlace';
import { photoName } from '@/lib/store/photoFiles';
import { choosePhotoReading, getPhoto } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { addRecordLink, sharedRecord } from '@/lib/store/recordLinks';
import { getRecord, issueRecord, listRecords } from '@/lib/store/records';
import { checkRecordFile } from '@/lib/store/sealRecord';
import { sharedJobs } from '@/lib/store/sharedJobs';
import { keyOwner, signingKey } from '@/lib/store/signingKey';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { filledStore } from './filledStore';
import { startObjectServer } from './objectServer';
import { readProduct } from './readProduct';
import { BY_COLOURS } from './sentTray';
import { freshDatabase, storedRun, temporaryFolder } from './temporaryStore';

async function database(place?: ObjectPlace): Promise<YardDatabase> {
	const yards = await openPostgres(await freshDatabase(process.env.TEST_DATABASE_URL ?? ''), place);
	onTestFinished(() => yards.close());
	return yards;
}

/** A directory with a read photo, a record that a later one superseded, a link, a device and a key. */
async function workedDirectory() {
	const folder = await temporaryFolder();
	const store = await openStore(folder);
	const read = await readProduct(store);
	const entry = {
		issuer: { name: 'Invented yard' },
		sampling: { words: 'Small scoops', scoops: 5 },
		rule: { kind: 'guarded', risk: 0.05 },
		classId: 'cobra',
	} as const;
	// the later one sorts first, so that a row hangs on one that comes before it and one that comes after
	const ids = [randomUUID(), randomUUID()].sort().reverse();
	for (const id of ids) await issueRecord(store, POOL_HERE, id, read.productId, entry);
	const token = (await addRecordLink(store, randomUUID(), ids[1]!, 7)) ?? '';
	await addDevice(store, 'Phone');
	const board = await workOutBoard(store, POOL_HERE, await getBoard(store, read.runId));
	const { fingerprint } = await signingKey(store);
	await store.close();
	return { folder, ...read, ids, token, board, fingerprint };
}

const SOUND = { broken: [], strayFiles: [] };

/** A picture that the two records share is altered and then put back; a check of the yard tells. */
async function spoilRecordPicture(store: Store): Promise<void> {
	const [name = ''] = await store.files.list('records/');
	const bytes = (await store.files.read(name)) ?? new Uint8Array();
	const wrongs = async () => (await checkYard(store)).records.broken.map(({ wrong }) => wrong);
	await store.files.write(name, Buffer.from('changed'));
	const altered = expect.stringContaining('has a picture that was altered');
	expect(await wrongs()).toEqual([altered, altered]);
	await store.files.write(name, bytes);
	expect(await wrongs()).toEqual([]);
}

test('a data directory becomes a yard, whole, whether files then lie in the database or in a store of objects', async () => {
	const its = await workedDirectory();
	const server = await startObjectServer();
	for (const place of [undefined, server.place]) {
		const yards = await database(place);
		const moved = await moveDirectory(its.folder, yards, 'north');
		expect(moved).toMatchObject({ photos: 1, lostPhotos: [] });
		expect(moved.rows).toMatchObject({ lot: 1, run: 1, photo: 1, analysis: 1, record: 2, record_link: 1, device: 1 });
		expect(server.objects.has(`north/${photoName(its.sha256)}`)).toBe(place !== undefined);
		const store = yards.storeOf('north');
		expect(await checkYard(store)).toEqual({ photos: 1, missing: [], altered: [], mapsMissing: [], records: SOUND });
		await spoilRecordPicture(store);
		// the same figures, to the last digit, and the same records with the same key
		expect(await workOutBoard(store, POOL_HERE, await getBoard(store, its.runId))).toEqual(its.board);
		expect((await signingKey(store)).fingerprint).toBe(its.fingerprint);
		expect(await keyOwner(store, its.fingerprint)).toBe('present');
		const { check } = checkRecordFile(recordJson((await getRecord(store, its.ids[0]!)).sealed), []);
		expect(isUntouched(check)).toBe(true);
		expect((await sharedRecord(store, its.token)).id).toBe(its.ids[1]);
		const later = (await listRecords(store)).map(({ id, supersededById }) => [id, supersededById]);
		expect(Object.fromEntries(later)).toEqual({ [its.ids[0]!]: its.ids[1], [its.ids[1]!]: undefined });
		// nobody else sees it
		expect(await listRecords(yards.storeOf('south'))).toEqual([]);
		await expect(moveDirectory(its.folder, yards, 'north')).rejects.toMatchObject({
			code: 'usage',
			message: expect.stringContaining('not empty'),
		});
	}
	const before = await openStore(its.folder);
	expect((await getPhoto(before, its.photoId)).sha256).toBe(its.sha256);
	await before.close();
});

test('a yard that holds something is refused and left as it was; so is a directory that another program uses', async () => {
	const folder = await temporaryFolder();
	const { store } = await filledStore(folder);
	const yards = await database();
	await expect(moveDirectory(folder, yards, 'a')).rejects.toMatchObject({ code: 'storage' });
	await store.close();
	const { runId } = await storedRun(yards.storeOf('a'));
	await expect(moveDirectory(folder, yards, 'a')).rejects.toMatchObject({ code: 'usage' });
	const runs = await yards.everyYard.selectFrom('run').select('id').execute();
	expect(runs).toEqual([{ id: runId }]);
	await moveDirectory(folder, yards, 'b');
	expect(await yards.everyYard.selectFrom('run').select('id').execute()).toHaveLength(2);
});

test('a move that breaks off leaves the yard without rows, and is done again whole', async () => {
	const folder = await temporaryFolder();
	const { store, photos } = await filledStore(folder);
	await choosePhotoReading(store, photos[0]!.id, BY_COLOURS);
	await store.close();
	const server = await startObjectServer();
	const yards = await database(server.place);
	// one file is written and read back before
	server.be('away', { after: 3 });
	await expect(moveDirectory(folder, yards, 'a')).rejects.toMatchObject({ code: 'storage' });
	expect(server.objects.size).toBeGreaterThan(0);
	expect(await yards.everyYard.selectFrom('lot').select('id').execute()).toEqual([]);
	server.be('well');
	expect(await moveDirectory(folder, yards, 'a')).toMatchObject({ photos: photos.length, lostPhotos: [] });
	// what the directory had yet to read stands in line here
	const jobs = sharedJobs(yards);
	expect((await jobs.take())?.id).toBe(photos[0]!.id);
	expect(await jobs.take()).toBeUndefined();
});

test('photos that are lost or altered in the directory are named; all else is moved', async () => {
	const folder = await temporaryFolder();
	const { store, photos } = await filledStore(folder);
	await store.close();
	const [first, second] = photos;
	await rm(path.join(folder, photoName(first!.sha256)));
	await writeFile(path.join(folder, photoName(second!.sha256)), 'altered');
	await writeFile(path.join(folder, 'maps', '.stray'), 'x');
	const yards = await database();
	const { lostPhotos, rows } = await moveDirectory(folder, yards, 'a');
	expect(lostPhotos.toSorted()).toEqual([first!.sha256, second!.sha256].sort());
	expect(rows.photo).toBe(2);
	expect((await checkYard(yards.storeOf('a'))).missing).toEqual([first!.sha256, second!.sha256].sort());
});
