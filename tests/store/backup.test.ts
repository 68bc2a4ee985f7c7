import { execFileSync } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { createWriteStream, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import { sql } from 'kysely';
import { pack } from 'tar-stream';
import { expect, onTestFinished, test, vi } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { classMapName } from '@/lib/store/analyses';
import { backUp } from '@/lib/store/backup';
import { readBackup } from '@/lib/store/backupFile';
import { checkData } from '@/lib/store/checkData';
import { databasePath, openStore } from '@/lib/store/database';
import { photoName } from '@/lib/store/photoFiles';
import { getProduct, listProducts, weighProduct } from '@/lib/store/products';
import { restore } from '@/lib/store/restore';
import { addRun, listRuns } from '@/lib/store/runs';
import { signingKey } from '@/lib/store/signingKey';
import { getBoard } from '@/lib/store/workedRun';
import { filledStore, gradedPhoto } from './filledStore';
import { RUN, temporaryFolder, temporaryStore } from './temporaryStore';

async function places() {
	const folder = await temporaryFolder();
	return { data: path.join(folder, 'data'), file: path.join(folder, 'kept.tar'), back: path.join(folder, 'back') };
}

test('a backup made while the store is open, brought back elsewhere, is the same data, photo for photo', async () => {
	const { data, file, back } = await places();
	const { store, runId, productId, photos } = await filledStore(data);
	const board = await getBoard(store, runId);
	const { fingerprint } = await signingKey(store);
	const { files, lostPhotos } = await backUp(data, file);
	expect(lostPhotos).toEqual([]);
	// the database, two photos, two class maps, the key
	expect(files).toHaveLength(6);
	await weighProduct(store, productId, { gross: '9 kg' });
	await store.close();
	await restore(file, back);
	expect(await checkData(back)).toMatchObject({ photos: 2, classMaps: 2, findings: [] });
	const again = await temporaryStore(back);
	expect(await getBoard(again, runId)).toEqual(board);
	expect((await signingKey(again)).fingerprint).toBe(fingerprint);
	for (const { sha256, key } of photos) {
		expect(readFileSync(path.join(back, photoName(sha256)))).toEqual(readFileSync(path.join(data, photoName(sha256))));
		expect(readFileSync(path.join(back, classMapName(key)))).toEqual(readFileSync(path.join(data, classMapName(key))));
	}
});

test('the archive is one that any tar program opens', async () => {
	const { data, file } = await places();
	const { store, photos } = await filledStore(data);
	await backUp(data, file);
	await store.close();
	const names = execFileSync('tar', ['-tf', file], { encoding: 'utf8' }).trim().split('\n');
	const { sha256 } = photos[0]!;
	expect(names.slice(0, 2)).toEqual(['backup.json', 'deckside.sqlite']);
	expect(names).toContain(`photos/${sha256.slice(0, 2)}/${sha256.slice(2)}`);
});

test('a backup taken while runs are entered without a pause holds whole runs only', async () => {
	const { data, file, back } = await places();
	const { store } = await filledStore(data);
	const [first] = await listRuns(store);
	let entering = true;
	const enter = async () => {
		for (let count = 0; entering; count++) {
			await addRun(store, randomUUID(), first!.lotId, { ...RUN, name: `Run ${count}` });
			await new Promise((resolve) => setImmediate(resolve));
		}
	};
	const entered = enter();
	await backUp(data, file);
	entering = false;
	await entered;
	await store.close();
	await restore(file, back);
	const again = await temporaryStore(back);
	for (const { id } of await listRuns(again)) expect(await listProducts(again, id)).toHaveLength(4);
});

test('a directory that holds data is not written over unless told, and is kept beside it then', async () => {
	const { data, file } = await places();
	const { store, productId } = await filledStore(data);
	await backUp(data, file);
	await weighProduct(store, productId, { gross: '9 kg' });
	await expect(restore(file, data, true)).rejects.toMatchObject({ message: expect.stringContaining('already using') });
	await store.close();
	await expect(restore(file, data)).rejects.toMatchObject({
		code: 'usage',
		hint: expect.stringContaining('--replace'),
	});
	const { earlierData } = await restore(file, data, true);
	const restored = await temporaryStore(data);
	expect((await getProduct(restored, productId)).weighing).toMatchObject({ gross: '5,07' });
	const earlier = await temporaryStore(earlierData);
	expect((await getProduct(earlier, productId)).weighing).toEqual({ gross: '9 kg' });
});

test('a folder with somebody’s files in it is left alone, and so is a file under the backup’s name', async () => {
	const { data, file, back } = await places();
	const { store } = await filledStore(data);
	await backUp(data, file);
	await expect(backUp(data, file)).rejects.toMatchObject({ code: 'usage', message: expect.stringContaining('exists') });
	await store.close();
	mkdirSync(back);
	writeFileSync(path.join(back, 'letter.txt'), 'mine');
	await expect(restore(file, back)).rejects.toMatchObject({ code: 'usage' });
	expect(readdirSync(back)).toEqual(['letter.txt']);
});

test.each([
	['cut short', (bytes: Buffer) => bytes.subarray(0, bytes.length - 3000)],
	['cut in its list', (bytes: Buffer) => bytes.subarray(0, 700)],
	['altered in a photo', (bytes: Buffer) => alteredAt(bytes, bytes.indexOf('secondsecond') + 50)],
	['altered in the database', (bytes: Buffer) => alteredAt(bytes, bytes.indexOf('SQLite format 3') + 9000)],
	['empty', () => Buffer.alloc(0)],
	['something else', () => Buffer.from('not an archive at all '.repeat(100))],
])('a backup that is %s is refused and nothing is left of it', async (_, spoil) => {
	const { data, file, back } = await places();
	const { store } = await filledStore(data);
	await backUp(data, file);
	await store.close();
	writeFileSync(file, spoil(readFileSync(file)));
	await expect(restore(file, back)).rejects.toMatchObject({
		code: 'file-unreadable',
		message: expect.stringContaining("can't be used"),
	});
	expect(readdirSync(path.dirname(back)).sort()).toEqual(['data', 'kept.tar']);
});

function alteredAt(bytes: Buffer, at: number): Buffer {
	bytes[at] = bytes[at]! ^ 1;
	return bytes;
}

test('an archive that would write outside the data directory is refused', async () => {
	const { file, back } = await places();
	const tar = pack();
	const name = '../outside.txt';
	const manifest = { deckside: 'backup/1', madeAt: '', migrations: [], lostPhotos: [] };
	const files = [{ name, sizeBytes: 1, sha256: 'a'.repeat(64) }];
	tar.entry({ name: 'backup.json' }, JSON.stringify({ ...manifest, files }));
	tar.entry({ name }, 'x');
	tar.finalize();
	await pipeline(tar, createWriteStream(file));
	await expect(restore(file, back)).rejects.toMatchObject({ code: 'file-unreadable' });
	expect(readdirSync(path.dirname(back))).toEqual(['kept.tar']);
});

test('a backup of a newer version is refused', async () => {
	const { data, file, back } = await places();
	const { store } = await filledStore(data);
	await sql`insert into kysely_migration (name, timestamp) values ('9999-newer', '2030')`.execute(store.db);
	await backUp(data, file);
	await store.close();
	await expect(restore(file, back)).rejects.toMatchObject({ message: expect.stringContaining('another version') });
});

test('a backup goes on where an original is lost, and names it', async () => {
	const { data, file } = await places();
	const { store, photos } = await filledStore(data);
	rmSync(path.join(data, photoName(photos[0]!.sha256)));
	expect((await backUp(data, file)).lostPhotos).toEqual([photos[0]!.sha256]);
	await store.close();
	expect((await readBackup(file, async () => {})).lostPhotos).toEqual([photos[0]!.sha256]);
});

test('a backup leaves out what others put into the data directory, whatever it is called', async () => {
	const { data, file } = await places();
	const { store } = await filledStore(data);
	for (const name of [
		'.DS_Store',
		'my notes.txt',
		'earlier backup.tar',
		'maps/.DS_Store',
		'maps/Ä b.png',
		'maps/x.part',
	])
		writeFileSync(path.join(data, name), 'x');
	const { files } = await backUp(data, file);
	await store.close();
	expect(files.map(({ name }) => name.replace(/\/.*/, '/…')).sort()).toEqual([
		'deckside.sqlite',
		'maps/…',
		'maps/…',
		'photos/…',
		'photos/…',
	]);
});

test('a sound data directory is called sound, and the check changes nothing in it', async () => {
	const { data } = await places();
	const { store } = await filledStore(data);
	expect(await checkData(data)).toMatchObject({ photos: 2, classMaps: 2, findings: [] });
	await store.close();
	const before = readdirSync(data, { recursive: true }).sort();
	expect((await checkData(data)).findings).toEqual([]);
	expect(
		readdirSync(data, { recursive: true })
			.filter((name) => !/-(wal|shm)$/.test(String(name)))
			.sort(),
	).toEqual(before);
});

test.each([
	[
		'a missing original',
		'Send the photo again',
		({ data, sha256 }: Spoil) => rmSync(path.join(data, photoName(sha256))),
	],
	[
		'an altered original',
		'Send the photo again',
		({ data, sha256 }: Spoil) => writeFileSync(path.join(data, photoName(sha256)), 'x'),
	],
	['a missing class map', 'Read again', ({ data, key }: Spoil) => rmSync(path.join(data, classMapName(key)))],
	[
		'an altered class map',
		'Read again',
		({ data, key }: Spoil) => writeFileSync(path.join(data, classMapName(key)), 'x'),
	],
	[
		'a row that points nowhere',
		'restore the last backup',
		async ({ store }: Spoil) => {
			await sql`pragma foreign_keys = off`.execute(store.db);
			await store.db.deleteFrom('lot').execute();
		},
	],
	[
		'an entry that cannot be read',
		'restore the last backup',
		({ store }: Spoil) => store.db.updateTable('run').set({ settings: '{"strokesPerMin":-5}' }).execute(),
	],
] as const)('%s is found by the check, with what to do', async (_, todo, spoil) => {
	const { data } = await places();
	const { store, photos } = await filledStore(data);
	await spoil({ data, store, ...photos[0]! });
	const { findings } = await checkData(data);
	await store.close();
	expect(findings.map(({ weight }) => weight)).toEqual(['trouble']);
	expect(findings[0]!.hint).toContain(todo);
});

interface Spoil {
	readonly data: string;
	readonly store: Awaited<ReturnType<typeof openStore>>;
	readonly sha256: string;
	readonly key: string;
}

test('a damaged database is found by the check', async () => {
	const { data } = await places();
	const { store } = await filledStore(data);
	for (let more = 0; more < 30; more++) await gradedPhoto(store, (await firstProduct(store)).id, `more ${more}`);
	await store.close();
	const bytes = readFileSync(databasePath(data));
	// every page but the first few, so that the file still opens
	bytes.fill(7, 4096 * 4);
	writeFileSync(databasePath(data), bytes);
	const { findings } = await checkData(data);
	expect(findings[0]).toMatchObject({ weight: 'trouble', hint: expect.stringContaining('restore the last backup') });
});

test.each([
	['emptied', (file: string) => writeFileSync(file, '')],
	['gone', (file: string) => rmSync(file)],
])('a database that is %s while photos are there is not begun anew', async (_, spoil) => {
	const { data, file } = await places();
	const { store, photos } = await filledStore(data);
	await store.close();
	spoil(databasePath(data));
	await expect(openStore(data)).rejects.toMatchObject({ code: 'storage', message: expect.stringMatching(/damaged/) });
	expect((await checkData(data)).findings).toMatchObject([
		{ weight: 'trouble', message: expect.stringContaining('is gone; its photos are there'), hint: expect.anything() },
	]);
	await expect(backUp(data, file)).rejects.toBeInstanceOf(TrayError);
	expect(readFileSync(path.join(data, photoName(photos[0]!.sha256)))).toHaveLength(1500);
});

test('a first start that was cut off before there were tables is begun anew', async () => {
	const { data } = await places();
	mkdirSync(path.join(data, 'photos', '00'), { recursive: true });
	writeFileSync(databasePath(data), '');
	const store = await openStore(data);
	expect(await listRuns(store)).toEqual([]);
	await store.close();
});

async function firstProduct(store: Awaited<ReturnType<typeof openStore>>) {
	const [run] = await listRuns(store);
	return (await listProducts(store, run!.id))[0]!;
}

test('files that belong to nothing are noted, not called trouble', async () => {
	const { data } = await places();
	const { store } = await filledStore(data);
	await store.close();
	mkdirSync(path.join(data, 'photos', 'ab'), { recursive: true });
	writeFileSync(path.join(data, 'photos', 'ab', 'c'.repeat(62)), 'x');
	writeFileSync(path.join(data, 'maps', `${'d'.repeat(64)}.png`), 'x');
	writeFileSync(path.join(data, 'incoming', 'half.part'), 'x');
	expect((await checkData(data)).findings.map(({ weight }) => weight)).toEqual(['note', 'note', 'note']);
});

test('the commands back up, restore and check, and refuse what they do not know', async () => {
	const { data, file, back } = await places();
	const { store } = await filledStore(data);
	await store.close();
	const command = (directory: string, ...given: string[]) =>
		execFileSync(process.execPath, ['--conditions=react-server', '--import', 'tsx', COMMAND, ...given], {
			env: { ...process.env, DECKSIDE_DATA: directory },
			encoding: 'utf8',
			stdio: ['ignore', 'pipe', 'pipe'],
		});
	expect(command(data, 'backup', file)).toContain('2 photos');
	expect(command(back, 'restore', file)).toContain('each proved');
	expect(JSON.parse(command(back, 'check', '--json'))).toMatchObject({ deckside: 'dataCheck/1', sound: true });
	expect(() => command(back, 'restore', file, '--force')).toThrow(/npm run data:restore/);
});

const COMMAND = 'app/_command/dataCommand.ts';

test('a disk that has no room for the backup is told of as its own, and nothing of it stays', async () => {
	const { data, file } = await places();
	const { store } = await filledStore(data);
	const handle = await open('package.json', 'r');
	const full = Object.assign(new Error('ENOSPC: no space left on device, fsync'), { code: 'ENOSPC' });
	const spied = vi.spyOn(Object.getPrototypeOf(handle), 'sync').mockRejectedValue(full);
	await handle.close();
	onTestFinished(() => spied.mockRestore());
	await expect(backUp(data, file)).rejects.toMatchObject({
		message: `No backup was made in ${path.dirname(file)}: there is no room left.`,
		hint: expect.stringContaining('What Deckside keeps is as it was.'),
	});
	expect(readdirSync(path.dirname(file))).toEqual(['data']);
	await store.close();
});
