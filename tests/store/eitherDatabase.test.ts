import { expect, test } from 'vitest';
import { temporaryFolder, temporaryStore } from './temporaryStore';

test('a fresh store has its tables', async () => {
	const store = await temporaryStore();
	const tables = await store.db.introspection.getTables();
	expect(tables.map(({ name }) => name)).toEqual(
		expect.arrayContaining(['lot', 'run', 'product', 'spread', 'photo', 'analysis', 'account', 'material', 'setting']),
	);
});

test('a stop keeps what was saved: opened again, it is there', async () => {
	const folder = await temporaryFolder();
	const first = await temporaryStore(folder);
	await first.db.insertInto('setting').values({ name: 'kept', value: 'yes' }).execute();
	await first.close();
	const second = await temporaryStore(folder);
	const row = await second.db.selectFrom('setting').select(['name', 'value']).executeTakeFirst();
	expect(row).toEqual({ name: 'kept', value: 'yes' });
});

test('a row that points nowhere is refused', async () => {
	const store = await temporaryStore();
	const orphan = {
		id: 'a',
		run_id: 'nowhere',
		name: 'x',
		role: 'concentrate',
		position: 0,
		weighing: null,
		deleted_at: null,
	};
	await expect(store.db.insertInto('product').values(orphan).execute()).rejects.toThrow(/foreign key/i);
	expect(await store.db.selectFrom('product').select('id').execute()).toEqual([]);
});
