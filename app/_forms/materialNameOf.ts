import { z } from 'zod';
import { TrayError } from '@/lib/errors/TrayError';

const nameSchema = z.string().min(1).max(80);

/**
 * A material's name from a form.
 *
 * @throws TrayError `not-found` when it is none
 */
export function materialNameOf(given: unknown): string {
	const parsed = nameSchema.safeParse(given);
	if (parsed.success) return parsed.data;
	throw new TrayError('not-found', 'There is no such material.', 'Choose one of those under Materials.');
}
