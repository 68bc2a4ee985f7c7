import type { Kysely, Migration } from 'kysely';

/** The table of entered prices. */
export const prices: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.createTable('price_sheet')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('sheet', 'text', (c) => c.notNull())
			.addColumn('created_at', 'text', (c) => c.notNull())
			.execute();
	},
};
