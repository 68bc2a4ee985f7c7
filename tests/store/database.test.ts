import { writeFileSync } from 'node:fs';
import path from 'node:path';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { openStore } from '@/lib/store/database';
import { temporaryFolder, temporaryStore } from './temporaryStore';

test('an empty folder becomes a data directory with its tables', async () => {
  const store = await temporaryStore();
  const tables = await store.db.introspection.getTables();
  expect(tables.map(({ name }) => name)).toEqual(
    expect.arrayContaining(['lot', 'run', 'product', 'spread', 'photo', 'analysis', 'account', 'material', 'setting']),
  );
});

test('a stop keeps what was saved: opened again, it is there', async () => {
  const folder = await temporaryFolder();
  const first = await openStore(folder);
  await first.db.insertInto('setting').values({ name: 'kept', value: 'yes' }).execute();
  await first.close();
  const second = await temporaryStore(folder);
  const row = await second.db.selectFrom('setting').select(['name', 'value']).executeTakeFirst();
  expect(row).toEqual({ name: 'kept', value: 'yes' });
});

test('the database writes ahead and refuses rows that point nowhere', async () => {
  const store = await temporaryStore();
  const pragma = async (name: string) => {
    const handle = new Database(path.join(store.directory, 'deckside.sqlite'));
    const value = handle.pragma(name, { simple: true });
    handle.close();
    return value;
  };
  expect(await pragma('journal_mode')).toBe('wal');
  const orphan = {
    id: 'a',
    run_id: 'nowhere',
    name: 'x',
    role: 'concentrate',
    position: 0,
    weighing: null,
    deleted_at: null,
  };
  await expect(store.db.insertInto('product').values(orphan).execute()).rejects.toThrow(/FOREIGN KEY/);
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
