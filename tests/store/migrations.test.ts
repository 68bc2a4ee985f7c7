import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import Database from 'better-sqlite3';
import { Kysely, Migrator, SqliteDialect } from 'kysely';
import { expect, test } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { listChecks } from '@/lib/store/checks';
import { databasePath, MIGRATIONS, openStore } from '@/lib/store/database';
import { listLots } from '@/lib/store/lots';
import { listMaterials } from '@/lib/store/materials';
import { listSpreads } from '@/lib/store/photos';
import { latestPrices } from '@/lib/store/prices';
import { listProducts } from '@/lib/store/products';
import { getRun } from '@/lib/store/runs';
import { getMatPrint } from '@/lib/store/settings';
import { temporaryFolder, temporaryStore } from './temporaryStore';

const AT = '2026-03-05T10:00:00.000Z';
const SHA256 = 'ab'.repeat(32);
const COPPER = { price: { amount: 4, currency: 'USD', per: 'lb' }, date: '2026-03-05', note: 'invented', payable: 0.8 };
const PRICES = JSON.stringify({ deckside: 'prices/1', metals: { copper: COPPER } });
const OWN = JSON.stringify({ ...BUILT_IN_MATERIALS[0], name: 'Own' });

/** One row for every table that a version before the newest had, as that version wrote it. */
const ROWS: readonly (readonly [string, Readonly<Record<string, string | number | null>>])[] = [
  [
    'lot',
    {
      id: 'l',
      name: 'Lot A',
      source: 'invented',
      received_mass_kg: 4,
      received_unit: 'kg',
      treatment: '',
      notes: '',
      created_at: AT,
    },
  ],
  [
    'run',
    {
      id: 'r',
      lot_id: 'l',
      name: 'Run 1',
      run_date: '2026-03-05',
      settings: '{"strokeLengthMm":14}',
      feed: '{}',
      notes: 'wet day',
      material: 'Mixed cable waste',
      created_at: AT,
    },
  ],
  [
    'product',
    { id: 'p', run_id: 'r', name: 'Tailings', role: 'tailings', position: 0, weighing: '{"gross":"4,2","unit":"kg"}' },
  ],
  ['spread', { id: 's', product_id: 'p', position: 0, weighed_mass_kg: 0.05, weighed_unit: 'g' }],
  [
    'photo',
    {
      id: 'f',
      spread_id: 's',
      sha256: SHA256,
      original_name: 'tray.jpg',
      size_bytes: 9,
      choice: '{}',
      state: 'graded',
      analysis_key: 'k',
      created_at: AT,
    },
  ],
  ['record', { id: 'n', number: 'N-1', product_id: 'p', sealed: '{}', basis: 'b', created_at: AT }],
  ['record_link', { id: 'o', record_id: 'n', token_sha256: SHA256, expires_at: AT, created_at: AT }],
  ['taught_spot', { material: 'Harness', id: 's', photo_id: 'p', spot: '{}', created_at: AT, deleted_at: null }],
  ['device', { id: 'd', name: 'Phone', token_sha256: SHA256, joined_at: AT, seen_at: AT }],
  ['analysis', { key: 'k', result: '{}', engine_version: '1', took_ms: 5, created_at: AT }],
  ['account', { key: 'k', result: '{}', created_at: AT }],
  ['setting', { name: 'matPrint', value: '{"size":"A4","checkLineMm":99.5,"measuredOn":"2026-03-05"}' }],
  ['material', { name: 'Own', material: OWN, created_at: AT }],
  ['price_sheet', { id: 'c', sheet: PRICES, created_at: AT }],
  [
    'product_check',
    {
      id: 'm',
      product_id: 'p',
      spread_id: null,
      entry: '{"kind":"magnet","sample":"50,0 g","pulled":"0.4"}',
      created_at: AT,
    },
  ],
];

/** A data directory as the version whose last migration this was left it, with a row in every table it had. */
async function directoryOf(version: string): Promise<string> {
  const folder = await temporaryFolder();
  mkdirSync(path.join(folder, 'photos'));
  const handle = new Database(databasePath(folder));
  handle.pragma('journal_mode = WAL');
  const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: handle }) });
  const { error } = await new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } }).migrateTo(version);
  expect(error).toBeUndefined();
  for (const [table, row] of ROWS) {
    if (!tablesIn(handle).includes(table)) continue;
    const columns = Object.keys(row);
    handle
      .prepare(`insert into ${table} (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`)
      .run(...Object.values(row));
  }
  await db.destroy();
  return folder;
}

function tablesIn(handle: Database.Database): readonly unknown[] {
  return handle
    .prepare(
      "select name from sqlite_master where type = 'table' and name not like 'kysely%' and name not like 'sqlite%'",
    )
    .pluck()
    .all();
}

function contentOf(folder: string): Readonly<Record<string, readonly unknown[]>> {
  const handle = new Database(databasePath(folder), { readonly: true });
  const content = tablesIn(handle).map((table) => [table, handle.prepare(`select * from ${table}`).all()]);
  handle.close();
  return Object.fromEntries(content);
}

const VERSIONS = Object.keys(MIGRATIONS);

test.each(VERSIONS)('data as %s left it comes through whole and can be used', async (version) => {
  const folder = await directoryOf(version);
  const before = contentOf(folder);
  const store = await temporaryStore(folder);
  const after = contentOf(folder);
  for (const [table, rows] of Object.entries(before)) expect(after[table]).toMatchObject(rows);
  expect(await listLots(store)).toMatchObject([{ name: 'Lot A', receivedMassKg: 4, runs: 1 }]);
  expect(await getRun(store, 'r')).toMatchObject({ notes: 'wet day', settings: { strokeLengthMm: 14 } });
  expect(await listProducts(store, 'r')).toMatchObject([{ weighing: { gross: '4,2', unit: 'kg' } }]);
  expect(await listSpreads(store, 'p')).toMatchObject([{ weighedMassKg: 0.05, photos: [{ sha256: SHA256 }] }]);
  expect(await getMatPrint(store)).toMatchObject({ checkLineMm: 99.5 });
  expect((await listMaterials(store)).at(-1)).toMatchObject({ name: 'Own', builtIn: false });
  if (before.price_sheet !== undefined) {
    expect((await latestPrices(store))?.sheet.metals.copper?.price).toEqual(COPPER.price);
  }
  if (before.product_check !== undefined) expect(await listChecks(store, ['p'])).toHaveLength(1);
});

test('every table that an earlier version had holds a row in these tests', async () => {
  const before = contentOf(await directoryOf(VERSIONS.at(-2) ?? ''));
  const empty = Object.entries(before).filter(([, rows]) => rows.length === 0);
  expect(empty.map(([table]) => `add a row of ${table} to ROWS`)).toEqual([]);
});

test('data of a newer version is refused with every file as it was, even what an upload left', async () => {
  const folder = await temporaryFolder();
  await (await openStore(folder)).close();
  const handle = new Database(databasePath(folder));
  handle.prepare("insert into kysely_migration (name, timestamp) values ('9999-newer', '2030-01-01')").run();
  handle.exec('create table of_a_newer_version (id text)');
  handle.pragma('wal_checkpoint(truncate)');
  handle.close();
  writeFileSync(path.join(folder, 'incoming', 'half.part'), 'x');
  const files = () =>
    readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) => !/-(wal|shm)$/.test(name));
  const before = { files: files(), database: readFileSync(databasePath(folder)) };
  await expect(openStore(folder)).rejects.toMatchObject({ message: expect.stringContaining('another version') });
  expect({ files: files(), database: readFileSync(databasePath(folder)) }).toEqual(before);
});

test('a migration that fails half-way leaves the data as it was, and the next start goes on from there', async () => {
  const folder = await directoryOf(VERSIONS[0] ?? '');
  // a table in the way of a later migration
  const handle = new Database(databasePath(folder));
  handle.exec('create table product_check (in_the_way text)');
  handle.close();
  const before = contentOf(folder);
  await expect(openStore(folder)).rejects.toMatchObject({ code: 'storage' });
  expect(contentOf(folder)).toEqual(before);
  const again = new Database(databasePath(folder));
  again.exec('drop table product_check');
  again.close();
  expect(await listLots(await temporaryStore(folder))).toHaveLength(1);
});
