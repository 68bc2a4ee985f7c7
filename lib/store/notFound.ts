import { TrayError } from '../errors/TrayError';

/**
 * Refuse to go on with a thing that is not there.
 *
 * @param what - the word for it: `lot`, `run`, `product`
 * @throws TrayError `not-found`, always
 */
export function notFound(what: string): never {
	throw new TrayError(
		'not-found',
		`There is no such ${what}.`,
		'It may have been removed. Go back to the list and look there.',
	);
}
