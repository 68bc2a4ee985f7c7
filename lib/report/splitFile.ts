import { z } from 'zod';

const share = z.strictObject({ value: z.number().min(0).max(1), u: z.number().min(0).max(0.5) });

/**
 * How a rerun of middlings is assumed to split, as a file: shares of copper and of all the rest, with one standard
 * uncertainty each; what goes neither way goes to the tailings.
 */
export const splitFileSchema = z.strictObject({
	deckside: z.literal('split/1', {
		error: 'The file says neither "deckside": "split/1" nor "run/1", so no split can be taken from it.',
	}),
	copper: z.strictObject({ toConcentrate: share, toMiddlings: share }),
	rest: z.strictObject({ toConcentrate: share, toMiddlings: share }),
});
