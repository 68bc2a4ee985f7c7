import type { Kysely, Migration } from 'kysely';
import { sql } from 'kysely';

/** Photos that are kept but neither read nor counted until a person asks, and why. */
export const heldPhotos: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.alterTable('photo')
			.addColumn('held', 'text', (c) => c.check(sql`held in ('stopped', 'redone')`))
			.execute();
	},
};
