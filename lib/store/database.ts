import 'server-only';
import { mkdirSync, readdirSync, rmSync } from 'node:fs';
import path from 'node:path';
import Database from 'better-sqlite3';
import { Kysely, Migrator, SqliteDialect } from 'kysely';
import { TrayError } from '../errors/TrayError';
import { type Changes, startChanges } from './changes';
import { lockDirectory } from './directoryLock';
import { firstTables } from './migrations/firstTables';
import { heldPhotos } from './migrations/heldPhotos';
import { prices } from './migrations/prices';
import { productChecks } from './migrations/productChecks';
import type { Tables } from './schema';

/** One data directory, open: the database and where the files lie. */
export interface Store {
  readonly db: Kysely<Tables>;
  readonly directory: string;
  /** Word of what changed, for pages that are open. */
  readonly changes: Changes;
  readonly close: () => Promise<void>;
}

/** All migrations by name; names sort in the order they run and never change once released. */
const MIGRATIONS = {
  '0001-first-tables': firstTables,
  '0002-prices': prices,
  '0003-product-checks': productChecks,
  '0005-held-photos': heldPhotos,
};

/**
 * Open a data directory, make it when it is missing, and bring its tables up to date.
 *
 * Uploads that a stop left half-written are removed: nobody was told that they were kept.
 *
 * @throws TrayError `storage` when another program uses the directory, when it cannot be written or its tables cannot be brought up to date
 */
export async function openStore(directory: string): Promise<Store> {
  let release = () => {};
  try {
    for (const folder of ['photos', 'incoming', 'maps', 'previews']) {
      mkdirSync(path.join(/*turbopackIgnore: true*/ directory, folder), { recursive: true });
    }
    release = lockDirectory(directory);
    for (const name of readdirSync(path.join(directory, 'incoming'))) rmSync(path.join(directory, 'incoming', name));
    const handle = new Database(path.join(directory, 'deckside.sqlite'), { timeout: 5000 });
    handle.pragma('journal_mode = WAL');
    handle.pragma('synchronous = FULL');
    handle.pragma('foreign_keys = ON');
    const db = new Kysely<Tables>({ dialect: new SqliteDialect({ database: handle }) });
    await migrate(db, handle);
    return { db, directory, changes: startChanges(), close: () => db.destroy().finally(release) };
  } catch (cause) {
    release();
    if (cause instanceof TrayError) throw cause;
    throw new TrayError(
      'storage',
      `The data directory ${directory} cannot be used.`,
      'Check that the folder exists, that this user may write in it and that the disk is not full.',
      { cause },
    );
  }
}

/** The whole migration in one transaction: SQLite would keep half of a failed one otherwise. */
async function migrate(db: Kysely<Tables>, handle: Database.Database): Promise<void> {
  const migrator = new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } });
  handle.exec('begin immediate');
  const { error } = await migrator.migrateToLatest();
  handle.exec(error === undefined ? 'commit' : 'rollback');
  if (error === undefined) return;
  await db.destroy();
  throw new TrayError(
    'storage',
    'The saved data is from another version of Deckside and was left untouched.',
    'Start the newer version, or name an empty folder in DECKSIDE_DATA.',
    { cause: error },
  );
}

/** Where data lies unless told otherwise: DECKSIDE_DATA, else `data` in the folder the program was started from. */
export function dataDirectory(): string {
  return path.resolve(/* turbopackIgnore: true */ process.env.DECKSIDE_DATA || 'data');
}
