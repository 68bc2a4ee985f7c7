import 'server-only';
import type BetterSqlite3 from 'better-sqlite3';
import {
	CompiledQuery,
	type DatabaseConnection,
	type Driver,
	PostgresDialect,
	SqliteDialect,
	type TransactionSettings,
} from 'kysely';
import type { Pool } from 'pg';
import { TrayError } from '../errors/TrayError';
import { preparedOnce } from './preparedOnce.mjs';
import { inPlainWords } from './storageFault';

/** SQLite in one thread, for bringing tables up to date and for data that may only be read: trouble with the disk or a lock is told in plain words. */
export class StoreSqliteDialect extends SqliteDialect {
	constructor(handle: BetterSqlite3.Database) {
		super({ database: { prepare: preparedOnce(handle), close: () => handle.close() } });
	}

	override createDriver(): Driver {
		// a transaction takes the right to write at once, so that it can't find out half-way that another program wrote in between
		return plainDriver(super.createDriver(), async (connection) => {
			await connection.executeQuery(CompiledQuery.raw('begin immediate'));
		});
	}
}

/** PostgreSQL as the store uses it: trouble with the server or the way there is told in plain words. */
export class StorePostgresDialect extends PostgresDialect {
	constructor(pool: Pool) {
		super({ pool });
	}

	override createDriver(): Driver {
		const driver = super.createDriver();
		return plainDriver(driver, (connection, settings) => driver.beginTransaction(connection, settings));
	}
}

type Begin = (connection: DatabaseConnection, settings: TransactionSettings) => Promise<void>;

/** A driver whose trouble with disk, lock or server is told in plain words. */
export function plainDriver(driver: Driver, begin: Begin): Driver {
	const own = new WeakMap<DatabaseConnection, DatabaseConnection>();
	const inner = (connection: DatabaseConnection) => own.get(connection) ?? connection;
	return {
		init: () => driver.init(),
		acquireConnection: () =>
			told(async () => {
				const connection = await driver.acquireConnection();
				const plain: DatabaseConnection = {
					executeQuery: (query) => told(async () => connection.executeQuery(query)),
					streamQuery: (query, chunkSize) => connection.streamQuery(query, chunkSize),
				};
				own.set(plain, connection);
				return plain;
			}),
		beginTransaction: (connection, settings) => told(() => begin(inner(connection), settings)),
		commitTransaction: (connection) => told(() => driver.commitTransaction(inner(connection))),
		rollbackTransaction: async (connection) => {
			// SQLite ends the transaction by itself where the disk is full; then there is nothing left to take back
			await driver.rollbackTransaction(inner(connection)).catch((error: unknown) => {
				if (!String(error).includes('no transaction is active')) throw inPlainWords(error);
			});
		},
		releaseConnection: (connection) => driver.releaseConnection(inner(connection)),
		destroy: () => driver.destroy(),
	};
}

async function told<Result>(work: () => Promise<Result>): Promise<Result> {
	try {
		return await work();
	} catch (error) {
		if (error instanceof Error && 'code' in error && error.code === NO_TEXT) {
			throw new TrayError('usage', 'A text holds a sign that cannot be kept.', 'Type it again instead of pasting it.');
		}
		throw inPlainWords(error);
	}
}

/** PostgreSQL keeps every sign but the one with number zero. @source PostgreSQL 17 documentation, appendix A: SQLSTATE 22021 */
const NO_TEXT = '22021';
