import { TrayError } from '../errors/TrayError';

/** The yard of an installation that knows of no other. */
export const HOME_YARD = 'home';

/** What DECKSIDE_YARD says where an instance serves every yard and nobody is let in without a code. */
const EVERY_YARD = '*';

/** The database that is shared by instances and workers; undefined where a data directory is used. */
export function databaseUrl(): string | undefined {
	return process.env.DATABASE_URL || undefined;
}

/**
 * Whose data those at this machine see without a code: DECKSIDE_YARD, else the yard that an installation of one's own has.
 *
 * @returns undefined where nobody is let in without a code: DECKSIDE_YARD=*
 * @throws TrayError `usage` for what is no name of a yard
 */
export function ownYard(): string | undefined {
	const name = process.env.DECKSIDE_YARD || HOME_YARD;
	if (name !== EVERY_YARD) return yardNameFrom(name);
	if (databaseUrl() !== undefined) return undefined;
	const hint = 'Name a database in DATABASE_URL, or leave DECKSIDE_YARD away.';
	throw new TrayError('usage', 'A data directory holds one yard, so DECKSIDE_YARD=* needs a database.', hint);
}

/** @throws TrayError `usage` for what is no name of a yard */
export function yardNameFrom(name: string): string {
	if (/^[a-z0-9-]{1,60}$/.test(name)) return name;
	throw new TrayError(
		'usage',
		`A yard can't be called "${name}".`,
		'Use small letters, digits and dashes, 60 at most.',
	);
}
