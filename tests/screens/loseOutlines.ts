import { readdirSync, renameSync, rmSync } from 'node:fs';
import path from 'node:path';
import { Client } from 'pg';

/** Puts the outlines back where they were. */
type PutBack = () => Promise<void>;

/** Take every photo's outlines away behind the app's back, from its data directory or from the files that its database keeps. */
export async function loseOutlines(
	from: { readonly directory: string } | { readonly database: string },
): Promise<PutBack> {
	return 'directory' in from ? loseFromFolder(from.directory) : loseFromDatabase(from.database);
}

function loseFromFolder(directory: string): PutBack {
	const within = (folder: string) => path.join(directory, folder);
	renameSync(within('maps'), within('maps-away'));
	for (const name of readdirSync(within('previews'))) {
		if (name.endsWith('-pieces.json')) rmSync(path.join(within('previews'), name));
	}
	return async () => renameSync(within('maps-away'), within('maps'));
}

async function loseFromDatabase(url: string): Promise<PutBack> {
	await tell(url, "update stored_file set name = 'away-' || name where name like 'maps/%'");
	await tell(url, "delete from stored_file where name like 'previews/%-pieces.json'");
	return () => tell(url, "update stored_file set name = substr(name, 6) where name like 'away-maps/%'");
}

async function tell(url: string, statement: string): Promise<void> {
	const client = new Client({ connectionString: url });
	await client.connect();
	try {
		await client.query(statement);
	} finally {
		await client.end();
	}
}
