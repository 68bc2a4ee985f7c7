import type { Kysely, Migration } from 'kysely';

/** The table of checks by hand and by laboratories. */
export const productChecks: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.createTable('product_check')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('product_id', 'text', (c) => c.notNull().references('product.id'))
			.addColumn('spread_id', 'text', (c) => c.references('spread.id'))
			.addColumn('entry', 'text', (c) => c.notNull())
			.addColumn('created_at', 'text', (c) => c.notNull())
			.addColumn('deleted_at', 'text')
			.execute();
		await db.schema.createIndex('check_by_product').on('product_check').column('product_id').execute();
	},
};
