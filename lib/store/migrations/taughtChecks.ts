import type { Kysely, Migration } from 'kysely';

/** Whether a check teaches the material for other runs: yes unless a person said otherwise. */
export const taughtChecks: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.alterTable('product_check')
			.addColumn('taught', 'integer', (c) => c.notNull().defaultTo(1))
			.execute();
	},
};
