import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { z } from 'zod';
import { issueWords, placedWords } from '@/lib/errors/issueWords';
import { TrayError } from '@/lib/errors/TrayError';

/**
 * Read a JSON file and check it against its schema.
 *
 * @param what - the file in words, for messages: "run file"
 * @throws TrayError `file-unreadable` saying where in the file what is wrong
 */
export async function readJsonFile<Output>(path: string, what: string, schema: z.ZodType<Output>): Promise<Output> {
	const text = await readFile(path, 'utf8').catch((cause: unknown) => {
		throw new TrayError('file-unreadable', `The ${what} ${path} can't be opened.`, 'Check its name and folder.', {
			cause,
		});
	});
	let given: unknown;
	try {
		given = JSON.parse(text);
	} catch (cause) {
		const hint = 'Mend it, or make it anew.';
		throw new TrayError('file-unreadable', `The ${what} ${path} is not JSON: ${slipIn(text)}.`, hint, { cause });
	}
	const result = schema.safeParse(given, { error: issueWords });
	if (result.success) return result.data;
	const issues = result.error.issues.map((issue) => placedWords(issue, what));
	throw new TrayError(
		'file-unreadable',
		`The ${what} ${path} can't be used. ${issues.join(' ')}`,
		'Mend the file; README.md shows the form.',
	);
}

/** Where a text stops being JSON, in words; the parser's own are for programmers. */
function slipIn(text: string): string {
	if (text.trim() === '') return 'it is empty';
	if (mayGoOn(text.trimEnd())) return 'it ends before it is whole';
	// the parser does not always say where: the shortest beginning that nothing could mend ends there
	let [whole, spoilt] = [0, text.length];
	while (spoilt - whole > 1) {
		const middle = (whole + spoilt) >> 1;
		if (mayGoOn(text.slice(0, middle))) whole = middle;
		else spoilt = middle;
	}
	const before = text.slice(0, whole).split('\n');
	return `something is wrong in line ${before.length}, character ${before.at(-1)!.length + 1}`;
}

/** Whether a text is JSON, or could become so by what follows. */
function mayGoOn(text: string): boolean {
	try {
		JSON.parse(text);
		return true;
	} catch (cause) {
		const told = cause instanceof Error ? cause.message : '';
		const at = /at position (\d+)/.exec(told)?.[1];
		return told.includes('Unexpected end') || told.startsWith('Unterminated string') || Number(at ?? -1) >= text.length;
	}
}

/** Photo paths of a file are relative to the folder it lies in. */
export function besideFile<Request extends { readonly photo: string }>(
	file: string,
	photos: readonly Request[],
): Request[] {
	return photos.map((request) => ({ ...request, photo: path.resolve(path.dirname(file), request.photo) }));
}
