import { type Kysely, type Migration, sql } from 'kysely';
import { isPostgres } from '../isPostgres';

/** Every table, and what its rows are told apart by within a yard. */
const KEYS: Readonly<Record<string, readonly string[]>> = {
	lot: ['id'],
	run: ['id'],
	product: ['id'],
	spread: ['id'],
	photo: ['id'],
	price_sheet: ['id'],
	product_check: ['id'],
	record: ['id'],
	record_link: ['id'],
	device: ['id'],
	taught_spot: ['material', 'id'],
	material: ['name'],
	setting: ['name'],
	analysis: ['key'],
	account: ['key'],
};

/** Whose a row is, who reads a photo and until when; on PostgreSQL also files, exact masses and keys that hold the yard. */
export const yards: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		for (const table of Object.keys(KEYS)) {
			await db.schema
				.alterTable(table)
				.addColumn('yard_id', 'text', (c) => c.notNull().defaultTo('home'))
				.execute();
		}
		await db.schema.alterTable('photo').addColumn('claimed_by', 'text').execute();
		await db.schema.alterTable('photo').addColumn('claimed_until', 'text').execute();
		await db.schema
			.alterTable('photo')
			.addColumn('claims', 'integer', (c) => c.notNull().defaultTo(0))
			.execute();
		// a data directory holds one yard: its keys and what its rows are looked up by stay as they are
		if (isPostgres(db)) await shareAmongYards(db);
	},
};

async function shareAmongYards(db: Kysely<unknown>): Promise<void> {
	// `real` is exact in SQLite and half as long in PostgreSQL
	await sql`alter table lot alter column received_mass_kg type double precision`.execute(db);
	await sql`alter table spread alter column weighed_mass_kg type double precision`.execute(db);
	await sql`alter table analysis alter column took_ms type double precision`.execute(db);
	await keepYardsApart(db);
	// numbers of records are drawn by each yard for itself
	await sql`alter table record drop constraint record_number_key`.execute(db);
	await db.schema.alterTable('record').addUniqueConstraint('record_number_of_yard', ['yard_id', 'number']).execute();
	await db.schema.dropIndex('analysis_by_created_at').execute();
	await db.schema.createIndex('analysis_by_yard').on('analysis').columns(['yard_id', 'created_at']).execute();
	await db.schema
		.createTable('stored_file')
		.addColumn('yard_id', 'text', (c) => c.notNull())
		.addColumn('name', 'text', (c) => c.notNull())
		.addColumn('bytes', 'bytea', (c) => c.notNull())
		.addColumn('size_bytes', 'integer', (c) => c.notNull())
		.addPrimaryKeyConstraint('stored_file_key', ['yard_id', 'name'])
		.execute();
	// photos are pressed already; trying again only costs time
	await sql`alter table stored_file alter column bytes set storage external`.execute(db);
}

/** A row may hang on rows of its own yard only. */
const HANGS_ON = [
	['run', 'lot_id', 'lot'],
	['product', 'run_id', 'run'],
	['spread', 'product_id', 'product'],
	['photo', 'spread_id', 'spread'],
	['product_check', 'product_id', 'product'],
	['product_check', 'spread_id', 'spread'],
	['record_link', 'record_id', 'record'],
	['record', 'superseded_by', 'record'],
] as const;

/** What is there once, is there once in a yard: an id that one yard has does not bar another from it. */
async function keepYardsApart(db: Kysely<unknown>): Promise<void> {
	for (const [table, column] of HANGS_ON) {
		await db.schema.alterTable(table).dropConstraint(`${table}_${column}_fkey`).execute();
	}
	for (const [table, columns] of Object.entries(KEYS)) {
		const old = table === 'taught_spot' ? 'taught_spot_key' : `${table}_pkey`;
		await db.schema.alterTable(table).dropConstraint(old).execute();
		const key = sql.join(['yard_id', ...columns].map((name) => sql.ref(name)));
		const name = sql.ref(`${table}_of_yard`);
		await sql`alter table ${sql.table(table)} add constraint ${name} primary key (${key})`.execute(db);
	}
	for (const [table, column, parent] of HANGS_ON) {
		await db.schema
			.alterTable(table)
			.addForeignKeyConstraint(`${table}_${column}_of_yard`, ['yard_id', column], parent, ['yard_id', 'id'])
			.execute();
	}
}
