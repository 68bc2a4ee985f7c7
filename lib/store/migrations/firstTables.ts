import type { Kysely, Migration } from 'kysely';
import { sql } from 'kysely';

/** The tables of version 0.1 (lib/store/schema.ts says what they hold). */
export const firstTables: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.createTable('lot')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('name', 'text', (c) => c.notNull())
			.addColumn('source', 'text', (c) => c.notNull())
			.addColumn('received_mass_kg', 'real')
			.addColumn('received_unit', 'text', (c) => c.notNull())
			.addColumn('treatment', 'text', (c) => c.notNull())
			.addColumn('notes', 'text', (c) => c.notNull())
			.addColumn('demo', 'integer', (c) => c.notNull().defaultTo(0))
			.addColumn('created_at', 'text', (c) => c.notNull())
			.addColumn('deleted_at', 'text')
			.execute();
		await db.schema
			.createTable('run')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('lot_id', 'text', (c) => c.notNull().references('lot.id'))
			.addColumn('name', 'text', (c) => c.notNull())
			.addColumn('run_date', 'text', (c) => c.notNull())
			.addColumn('settings', 'text', (c) => c.notNull())
			.addColumn('feed', 'text', (c) => c.notNull())
			.addColumn('notes', 'text', (c) => c.notNull())
			.addColumn('material', 'text', (c) => c.notNull())
			.addColumn('demo', 'integer', (c) => c.notNull().defaultTo(0))
			.addColumn('created_at', 'text', (c) => c.notNull())
			.addColumn('deleted_at', 'text')
			.execute();
		await db.schema
			.createTable('product')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('run_id', 'text', (c) => c.notNull().references('run.id'))
			.addColumn('name', 'text', (c) => c.notNull())
			.addColumn('role', 'text', (c) => c.notNull().check(sql`role in ('concentrate', 'middlings', 'tailings')`))
			.addColumn('position', 'integer', (c) => c.notNull())
			.addColumn('weighing', 'text')
			.addColumn('deleted_at', 'text')
			.execute();
		await db.schema
			.createTable('spread')
			.addColumn('id', 'text', (c) => c.primaryKey())
			.addColumn('product_id', 'text', (c) => c.notNull().references('product.id'))
			.addColumn('position', 'integer', (c) => c.notNull())
			.addColumn('weighed_mass_kg', 'real', (c) => c.check(sql`weighed_mass_kg > 0`))
			.addColumn('weighed_unit', 'text', (c) => c.notNull())
			.execute();
		await createPhotoTables(db);
		await db.schema
			.createTable('material')
			.addColumn('name', 'text', (c) => c.primaryKey())
			.addColumn('material', 'text', (c) => c.notNull())
			.addColumn('created_at', 'text', (c) => c.notNull())
			.addColumn('deleted_at', 'text')
			.execute();
		await db.schema
			.createTable('setting')
			.addColumn('name', 'text', (c) => c.primaryKey())
			.addColumn('value', 'text', (c) => c.notNull())
			.execute();
		await db.schema.createIndex('run_by_lot').on('run').column('lot_id').execute();
		await db.schema.createIndex('product_by_run').on('product').column('run_id').execute();
		await db.schema.createIndex('spread_by_product').on('spread').column('product_id').execute();
	},
};

async function createPhotoTables(db: Kysely<unknown>): Promise<void> {
	await db.schema
		.createTable('photo')
		.addColumn('id', 'text', (c) => c.primaryKey())
		.addColumn('spread_id', 'text', (c) => c.notNull().references('spread.id'))
		.addColumn('sha256', 'text', (c) => c.notNull().check(sql`length(sha256) = 64`))
		.addColumn('original_name', 'text', (c) => c.notNull())
		.addColumn('size_bytes', 'integer', (c) => c.notNull())
		.addColumn('choice', 'text', (c) => c.notNull())
		.addColumn('state', 'text', (c) => c.notNull().check(sql`state in ('queued', 'reading', 'graded', 'refused')`))
		.addColumn('refused_message', 'text')
		.addColumn('refused_hint', 'text')
		.addColumn('analysis_key', 'text')
		.addColumn('created_at', 'text', (c) => c.notNull())
		.addColumn('deleted_at', 'text')
		.execute();
	await db.schema
		.createTable('analysis')
		.addColumn('key', 'text', (c) => c.primaryKey())
		.addColumn('result', 'text', (c) => c.notNull())
		.addColumn('engine_version', 'text', (c) => c.notNull())
		.addColumn('took_ms', 'real', (c) => c.notNull())
		.addColumn('created_at', 'text', (c) => c.notNull())
		.execute();
	await db.schema
		.createTable('account')
		.addColumn('key', 'text', (c) => c.primaryKey())
		.addColumn('result', 'text', (c) => c.notNull())
		.addColumn('created_at', 'text', (c) => c.notNull())
		.execute();
	await db.schema.createIndex('photo_by_spread').on('photo').column('spread_id').execute();
	await db.schema.createIndex('photo_by_state').on('photo').column('state').execute();
}
