import { z } from 'zod';

const wordsSchema = z.object({ message: z.string(), hint: z.string() });

/** Why a picture did not come, in the server's own words: an image that fails to load does not tell. */
export async function whyNoPicture(address: string): Promise<string> {
	try {
		const answer = await fetch(address);
		if (answer.ok) return 'The picture cannot be shown. Load the page again to try once more.';
		const { message, hint } = wordsSchema.parse(await answer.json());
		return `${message} ${hint}`;
	} catch {
		return 'The picture did not come. Load the page again to try once more.';
	}
}
