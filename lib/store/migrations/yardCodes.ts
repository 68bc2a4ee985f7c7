import type { Kysely, Migration } from 'kysely';
import { isPostgres } from '../isPostgres';

/** Devices that stand in for the laptop; on PostgreSQL also the yards and the codes that devices join them by, as hashes. */
export const yardCodes: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.alterTable('device')
			.addColumn('is_office', 'integer', (c) => c.notNull().defaultTo(0))
			.execute();
		// a data directory holds one yard, and its code lives in memory
		if (!isPostgres(db)) return;
		await db.schema
			.createTable('yard')
			.addColumn('yard_id', 'text', (c) => c.primaryKey())
			.addColumn('code_sha256', 'text', (c) => c.unique())
			.addColumn('office_code_sha256', 'text', (c) => c.unique())
			.addColumn('created_at', 'text', (c) => c.notNull())
			.execute();
	},
};
