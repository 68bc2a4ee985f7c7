import path from 'node:path';
import Database from 'better-sqlite3';
import { Client } from 'pg';

/** Let nothing be written, as another program would: to a data directory, or of links on a server. @returns lets go */
export async function holdDatabase(
	from: { readonly directory: string } | { readonly database: string },
): Promise<() => Promise<void>> {
	if ('directory' in from) {
		const handle = new Database(path.join(from.directory, 'deckside.sqlite'));
		handle.exec('begin immediate');
		return async () => void handle.close();
	}
	const client = new Client({ connectionString: from.database });
	await client.connect();
	await client.query('begin');
	await client.query('lock table record_link in exclusive mode');
	return () => client.end();
}
