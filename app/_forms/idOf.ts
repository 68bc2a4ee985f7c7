import { z } from 'zod';
import { TrayError } from '@/lib/errors/TrayError';

const idSchema = z.uuid();

/**
 * An id from a form or an address.
 *
 * @throws TrayError `not-found` when it is not one
 */
export function idOf(given: unknown): string {
	const parsed = idSchema.safeParse(given);
	if (parsed.success) return parsed.data.toLowerCase();
	throw new TrayError(
		'not-found',
		'This address does not lead to anything.',
		'Go back to the list and choose from there.',
	);
}
