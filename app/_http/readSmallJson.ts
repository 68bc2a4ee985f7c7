import type { z } from 'zod';
import { TrayError } from '@/lib/errors/TrayError';

/**
 * The JSON of a small request, counted while it arrives and checked.
 *
 * @throws TrayError `usage` when it is too long, not JSON, or not of the form
 */
export async function readSmallJson<Output>(
	request: Request,
	schema: z.ZodType<Output>,
	mostBytes: number,
): Promise<Output> {
	const chunks: Uint8Array[] = [];
	let length = 0;
	for await (const chunk of request.body ?? []) {
		length += chunk.byteLength;
		if (length > mostBytes) throw new TrayError('usage', 'Too much was sent.', 'Send what the page sends.');
		chunks.push(chunk);
	}
	let given: unknown;
	try {
		given = JSON.parse(Buffer.concat(chunks).toString('utf8'));
	} catch (cause) {
		throw new TrayError('usage', 'What was sent is not JSON.', 'Send what the page sends.', { cause });
	}
	const parsed = schema.safeParse(given);
	if (parsed.success) return parsed.data;
	throw new TrayError('usage', 'What was sent is not of the right form.', 'Send what the page sends.');
}
