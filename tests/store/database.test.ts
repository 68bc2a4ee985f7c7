import { randomUUID } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { openStore } from '@/lib/store/database';
import { addLot, changeLot } from '@/lib/store/lots';
import { latestPrices, savePrices } from '@/lib/store/prices';
import { whileUnchanged } from '@/lib/store/whileUnchanged';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { LOT, temporaryFolder, temporaryStore } from './temporaryStore';

test('an empty folder becomes a data directory whose database writes ahead', async () => {
	const store = await temporaryStore();
	const handle = new Database(path.join(store.directory, 'deckside.sqlite'));
	expect(handle.pragma('journal_mode', { simple: true })).toBe('wal');
	handle.close();
});

test('data of a newer version is refused and left as it was', async () => {
	const folder = await temporaryFolder();
	const first = await openStore(folder);
	await first.close();
	const file = path.join(folder, 'deckside.sqlite');
	const handle = new Database(file);
	const before = handle.prepare('select name from kysely_migration order by name').pluck().all();
	handle
		.prepare("insert into kysely_migration (name, timestamp) values ('9999-of-a-newer-version', '2030-01-01')")
		.run();
	handle.close();
	await expect(openStore(folder)).rejects.toMatchObject({
		code: 'storage',
		message: expect.stringContaining('another version'),
	});
	const after = new Database(file);
	expect(after.prepare('select name from kysely_migration order by name').pluck().all()).toEqual([
		...before,
		'9999-of-a-newer-version',
	]);
	after.close();
});

test('a file in the place of the data directory is told in a sentence', async () => {
	const folder = await temporaryFolder();
	const file = path.join(folder, 'not-a-folder');
	writeFileSync(file, 'x');
	await expect(openStore(file)).rejects.toMatchObject({ code: 'storage', hint: expect.stringContaining('write') });
});

test('what is entered last counts although the clock was set back before this start', async () => {
	const folder = await temporaryFolder();
	const sheet = (perTon: 't' | 'shortTon') => priceSheetSchema.parse({ deckside: 'prices/1', perTon });
	const first = await openStore(folder);
	await savePrices(first, randomUUID(), sheet('t'));
	await first.db.updateTable('price_sheet').set({ created_at: '2222-02-02T02:02:02.222Z' }).execute();
	await first.close();
	const store = await temporaryStore(folder);
	await savePrices(store, randomUUID(), sheet('shortTon'));
	expect((await latestPrices(store))?.sheet).toEqual(sheet('shortTon'));
});

test('what was found is held until anything is written, by whatever program, and what went wrong is not held', async () => {
	const folder = await temporaryFolder();
	const store = await temporaryStore(folder);
	await addLot(store, 'lot', LOT);
	let looks = 0;
	const name = async () => {
		looks++;
		const { name } = await store.db.selectFrom('lot').select('name').executeTakeFirstOrThrow();
		if (name === '') throw new RangeError('no name');
		return name;
	};
	const found = () => whileUnchanged(store, 'name', name);
	expect([await found(), await found(), looks]).toEqual(['Lot A', 'Lot A', 1]);
	await changeLot(store, 'lot', { ...LOT, name: 'Lot B' });
	expect([await found(), looks]).toEqual(['Lot B', 2]);
	const other = new Database(path.join(folder, 'deckside.sqlite'));
	other.exec("update lot set name = ''");
	await expect(found()).rejects.toThrow('no name');
	await expect(found()).rejects.toThrow('no name');
	expect(looks).toBe(4);
	other.close();
});
