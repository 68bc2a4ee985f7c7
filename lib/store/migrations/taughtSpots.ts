import type { Kysely, Migration } from 'kysely';

/**
 * Spots that were taught on photos, each with the material that it is for and the photo that it came from; what a photo taught
 * stays when the photo goes.
 */
export const taughtSpots: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema
			.createTable('taught_spot')
			.addColumn('material', 'text', (c) => c.notNull())
			.addColumn('id', 'text', (c) => c.notNull())
			.addColumn('photo_id', 'text', (c) => c.notNull())
			.addColumn('spot', 'text', (c) => c.notNull())
			.addColumn('created_at', 'text', (c) => c.notNull())
			.addColumn('deleted_at', 'text')
			.addPrimaryKeyConstraint('taught_spot_key', ['material', 'id'])
			.execute();
	},
};
