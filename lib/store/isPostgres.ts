import { type Kysely, PostgresAdapter } from 'kysely';

/** Which of the two databases this is; asked only where they differ. */
export function isPostgres<Tables>(db: Kysely<Tables>): boolean {
	return db.getExecutor().adapter instanceof PostgresAdapter;
}
