import type { Kysely, Migration } from 'kysely';

/** The table of devices that have joined over the local network. */
export const devices: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.createTable('device')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('name', 'text', (c) => c.notNull())
			.addColumn('token_sha256', 'text', (c) => c.notNull().unique())
			.addColumn('joined_at', 'text', (c) => c.notNull())
			.addColumn('seen_at', 'text', (c) => c.notNull())
			.addColumn('forgotten_at', 'text')
			.execute();
	},
};
