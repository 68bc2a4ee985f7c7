import 'server-only';
import type BetterSqlite3 from 'better-sqlite3';
import { CompiledQuery, type DatabaseConnection, type Driver, SqliteDialect } from 'kysely';
import { inPlainWords } from './storageFault';

/**
 * SQLite as the store uses it: trouble with the disk or a lock is told in plain words, and a transaction takes the right to
 * write at once, so that it can't find out half-way that another program wrote in between.
 */
export class StoreSqliteDialect extends SqliteDialect {
  constructor(handle: BetterSqlite3.Database) {
    super({ database: handle });
  }

  override createDriver(): Driver {
    return plainDriver(super.createDriver());
  }
}

function plainDriver(driver: Driver): Driver {
  return {
    init: () => driver.init(),
    acquireConnection: async () => plainConnection(await driver.acquireConnection()),
    beginTransaction: async (connection) => {
      await connection.executeQuery(CompiledQuery.raw('begin immediate'));
    },
    commitTransaction: async (connection) => {
      await connection.executeQuery(CompiledQuery.raw('commit'));
    },
    rollbackTransaction: async (connection) => {
      // SQLite ends the transaction by itself where the disk is full; then there is nothing left to take back
      await connection.executeQuery(CompiledQuery.raw('rollback')).catch((error: unknown) => {
        if (!String(error).includes('no transaction is active')) throw error;
      });
    },
    // there is only the one connection, so it does not matter which is named
    releaseConnection: (connection) => driver.releaseConnection(connection),
    destroy: () => driver.destroy(),
  };
}

function plainConnection(connection: DatabaseConnection): DatabaseConnection {
  return {
    executeQuery: async (query) => {
      try {
        return await connection.executeQuery(query);
      } catch (error) {
        throw inPlainWords(error);
      }
    },
    streamQuery: (query, chunkSize) => connection.streamQuery(query, chunkSize),
  };
}
