import type { Kysely, Migration } from 'kysely';

/** What pages look rows up by, so that they take as long with thousands of runs as with ten. */
export const indexes: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		const on = (table: string, ...columns: string[]) =>
			db.schema
				.createIndex(`${table}_by_${columns.join('_')}`)
				.on(table)
				.columns(columns)
				.execute();
		await on('run', 'lot_id');
		await on('run', 'run_date', 'created_at');
		await on('product', 'run_id');
		await on('product_check', 'product_id');
		await on('spread', 'product_id');
		await on('photo', 'spread_id');
		await on('photo', 'state', 'created_at');
		await on('photo', 'sha256');
		await on('analysis', 'created_at');
		await on('record', 'product_id');
	},
};
