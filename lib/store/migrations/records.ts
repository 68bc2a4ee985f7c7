import type { Kysely, Migration } from 'kysely';

/** The tables of cleanliness records and of the links they are shared by. */
export const records: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.createTable('record')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('number', 'text', (c) => c.notNull().unique())
			// no reference: a record outlives its run
			.addColumn('product_id', 'text', (c) => c.notNull())
			.addColumn('sealed', 'text', (c) => c.notNull())
			.addColumn('basis', 'text', (c) => c.notNull())
			.addColumn('superseded_by', 'text', (c) => c.references('record.id'))
			.addColumn('withdrawn_at', 'text')
			.addColumn('withdrawn_reason', 'text')
			.addColumn('created_at', 'text', (c) => c.notNull())
			.execute();
		await db.schema
			.createTable('record_link')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('record_id', 'text', (c) => c.notNull().references('record.id'))
			.addColumn('token_sha256', 'text', (c) => c.notNull().unique())
			.addColumn('expires_at', 'text', (c) => c.notNull())
			.addColumn('revoked_at', 'text')
			.addColumn('created_at', 'text', (c) => c.notNull())
			.execute();
		await db.schema.createIndex('record_by_product').on('record').column('product_id').execute();
		await db.schema.createIndex('link_by_record').on('record_link').column('record_id').execute();
	},
};
