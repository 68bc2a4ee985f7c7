import Database from 'better-sqlite3';
import { expect, onTestFinished, test } from 'vitest';
import { databasePath } from '@/lib/store/database';
import { startWriter } from '@/lib/store/sqliteWriter';
import { temporaryFolder } from './temporaryStore';

async function madeDatabase(): Promise<string> {
	const file = databasePath(await temporaryFolder());
	const handle = new Database(file);
	handle.pragma('journal_mode = WAL');
	handle.exec('create table weight (gross integer not null)');
	handle.close();
	return file;
}

test('statements are carried out in the order they were asked, and one that fails leaves the others', async () => {
	const writer = startWriter(await madeDatabase(), 20);
	onTestFinished(() => writer.close());
	const ask = writer.ask();
	const asked = [1, null, 2, 3].map((gross) => ask('insert into weight values (?) returning gross', [gross]));
	const outcomes = await Promise.allSettled(asked);
	expect(outcomes.map((one) => (one.status === 'fulfilled' ? one.value.rows : one.reason.code))).toEqual([
		[{ gross: 1 }],
		'SQLITE_CONSTRAINT_NOTNULL',
		[{ gross: 2 }],
		[{ gross: 3 }],
	]);
	const { numAffectedRows } = await ask('update weight set gross = gross + 1 where gross > 1', []);
	expect(numAffectedRows).toBe(2n);
});

test('a thread that can never open its database says why, and the next statement tries anew', async () => {
	const file = databasePath(await temporaryFolder());
	const writer = startWriter(file, 20);
	onTestFinished(() => writer.close());
	await expect(writer.ask()('select 1', [])).rejects.toMatchObject({ code: 'SQLITE_CANTOPEN' });
	new Database(file).close();
	expect((await writer.ask()('select 1 as one', [])).rows).toEqual([{ one: 1 }]);
});

test('half a transaction does not go on in another thread', async () => {
	const file = await madeDatabase();
	const writer = startWriter(file, 20);
	onTestFinished(() => writer.close());
	const ask = writer.ask();
	await ask('begin immediate', []);
	await ask('insert into weight values (1)', []);
	await writer.close();
	await expect(ask('insert into weight values (2)', [])).rejects.toMatchObject({ code: 'storage' });
	expect((await writer.ask()('select gross from weight', [])).rows).toEqual([]);
});
