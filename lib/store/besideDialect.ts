import 'server-only';
import type BetterSqlite3 from 'better-sqlite3';
import {
	type CompiledQuery,
	type DatabaseConnection,
	type Driver,
	type QueryResult,
	SelectQueryNode,
	SqliteDialect,
} from 'kysely';
import { plainDriver } from './dialects';
import { preparedOnce } from './preparedOnce.mjs';
import type { AskWriter, SqliteWriter } from './sqliteWriter';

/**
 * SQLite with its writing beside the thread that answers: a commit waits for the disk, a change for another program's lock, and
 * neither may hold up a page. What is asked outside a transaction is read in this thread, since a database that writes ahead is
 * read while it is written; all else goes to the writer, one transaction or statement at a time.
 *
 * @source SQLite documentation, "Write-Ahead Logging": readers do not block writers and a writer does not block readers
 */
export class BesideSqliteDialect extends SqliteDialect {
	private readonly prepare: (text: string) => BetterSqlite3.Statement<unknown[]>;

	constructor(
		private readonly handle: BetterSqlite3.Database,
		private readonly writer: SqliteWriter,
	) {
		const prepare = preparedOnce(handle);
		super({ database: { prepare, close: () => handle.close() } });
		this.prepare = prepare;
	}

	override createDriver(): Driver {
		const driver = new BesideDriver(this.prepare, this.writer, () => this.handle.close());
		return plainDriver(driver, (connection) => driver.beginTransaction(connection));
	}
}

class BesideConnection implements DatabaseConnection {
	/** The writer, while a transaction is open. */
	transaction: AskWriter | undefined;
	/** Gives the turn to write back. */
	giveBack: (() => void) | undefined;

	constructor(
		private readonly prepare: (text: string) => BetterSqlite3.Statement<unknown[]>,
		private readonly turns: Turns,
		private readonly writer: SqliteWriter,
	) {}

	async executeQuery<Row>({ sql, parameters, query }: CompiledQuery): Promise<QueryResult<Row>> {
		// rows are what the query was typed for
		const typed = (result: QueryResult<unknown>) => result as QueryResult<Row>;
		if (this.transaction !== undefined) return typed(await this.transaction(sql, parameters));
		if (SelectQueryNode.is(query)) return typed({ rows: this.prepare(sql).all(parameters) });
		const giveBack = await this.turns.take();
		try {
			return typed(await this.writer.ask()(sql, parameters));
		} finally {
			giveBack();
		}
	}

	streamQuery<Row>(): AsyncIterableIterator<QueryResult<Row>> {
		throw new TypeError('rows are asked for all at once');
	}
}

class BesideDriver implements Driver {
	private readonly turns = new Turns();

	constructor(
		private readonly prepare: (text: string) => BetterSqlite3.Statement<unknown[]>,
		private readonly writer: SqliteWriter,
		private readonly closeReading: () => void,
	) {}

	async init(): Promise<void> {}

	async acquireConnection(): Promise<BesideConnection> {
		return new BesideConnection(this.prepare, this.turns, this.writer);
	}

	async beginTransaction(connection: DatabaseConnection): Promise<void> {
		const own = ours(connection);
		own.giveBack = await this.turns.take();
		const ask = this.writer.ask();
		// takes the right to write at once, so that it can't find out half-way that another program wrote in between
		await ask('begin immediate', []);
		own.transaction = ask;
	}

	async commitTransaction(connection: DatabaseConnection): Promise<void> {
		await ours(connection).transaction?.('commit', []);
	}

	async rollbackTransaction(connection: DatabaseConnection): Promise<void> {
		await ours(connection).transaction?.('rollback', []);
	}

	async releaseConnection(connection: DatabaseConnection): Promise<void> {
		const own = ours(connection);
		own.transaction = undefined;
		own.giveBack?.();
		own.giveBack = undefined;
	}

	async destroy(): Promise<void> {
		await this.writer.close();
		this.closeReading();
	}
}

/** Every connection of the driver is one that it made. */
function ours(connection: DatabaseConnection): BesideConnection {
	if (connection instanceof BesideConnection) return connection;
	throw new TypeError('a connection of another driver');
}

/** Lets one after the other write. */
class Turns {
	private last: Promise<void> = Promise.resolve();

	/** Resolves when all who came before are done. @returns gives the turn back */
	async take(): Promise<() => void> {
		const before = this.last;
		let giveBack = () => {};
		this.last = new Promise((resolve) => {
			giveBack = resolve;
		});
		await before;
		return giveBack;
	}
}
