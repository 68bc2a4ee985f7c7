import 'server-only';
import { readFile, rm } from 'node:fs/promises';
import type { Kysely } from 'kysely';
import type { Files } from './files';
import type { Tables } from './schema';

/**
 * Files in the database, a row each: instances and workers then share one place and one backup. Largest are originals of some
 * megabytes; the database keeps each in one piece up to a gigabyte.
 *
 * @param db - narrowed to one yard
 * @param passing - a folder of this machine
 * @source limit: PostgreSQL 17 documentation, appendix K
 */
export function postgresFiles(db: Kysely<Tables>, passing: string): Files {
	const row = (name: string, bytes: Uint8Array) => ({
		name,
		bytes: Buffer.from(bytes),
		size_bytes: bytes.byteLength,
	});

	async function write(name: string, bytes: Uint8Array): Promise<void> {
		const kept = row(name, bytes);
		await db
			.insertInto('stored_file')
			.values(kept)
			.onConflict((conflict) => conflict.column('name').doUpdateSet({ bytes: kept.bytes, size_bytes: kept.size_bytes }))
			.execute();
	}

	return {
		passing,
		read: async (name) => {
			const found = await db.selectFrom('stored_file').select('bytes').where('name', '=', name).executeTakeFirst();
			return found?.bytes;
		},
		sizeOf: async (name) => {
			const found = await db.selectFrom('stored_file').select('size_bytes').where('name', '=', name).executeTakeFirst();
			return found?.size_bytes;
		},
		write,
		writeFirst: async (name, bytes) => {
			const added = await db
				.insertInto('stored_file')
				.values(row(name, bytes))
				.onConflict((conflict) => conflict.column('name').doNothing())
				.executeTakeFirst();
			return Number(added.numInsertedOrUpdatedRows ?? 0) > 0;
		},
		moveIn: async (name, passingFile) => {
			await write(name, await readFile(passingFile));
			await rm(passingFile, { force: true });
		},
		list: async (beginning) => {
			const rows = await db.selectFrom('stored_file').select('name').orderBy('name').execute();
			return rows.map(({ name }) => name).filter((name) => name.startsWith(beginning));
		},
	};
}
