import type { Kysely, Migration } from 'kysely';
import { isPostgres } from '../isPostgres';

/** Photos are counted by how they stand, without a look at the photos themselves. */
export const photoStanding: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		const standing = ['state', 'held', 'deleted_at'];
		await db.schema
			.createIndex('photo_by_standing')
			.on('photo')
			.columns(isPostgres(db) ? ['yard_id', ...standing] : standing)
			.execute();
		// those by state and by state and time did the same
		await db.schema.dropIndex('photo_by_state').execute();
	},
};
