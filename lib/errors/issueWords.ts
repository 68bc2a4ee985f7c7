import type { z } from 'zod';

const KINDS: Readonly<Record<string, string>> = {
	object: 'a group of entries',
	array: 'a list',
	string: 'text',
	number: 'a number',
	boolean: 'true or false',
};

/**
 * What is wrong with an entry of a file, in words for who was handed the file: zod's own are for programmers. Given to zod as `error`; what a schema says
 * for itself goes before it.
 *
 * @returns a sentence, or undefined where zod's own has to do
 */
export function issueWords(issue: z.core.$ZodRawIssue): string | undefined {
	switch (issue.code) {
		case 'invalid_type':
			return issue.input === undefined
				? 'An entry is missing.'
				: `The entry must be ${KINDS[issue.expected] ?? 'of another kind'}.`;
		case 'too_big':
			return `The entry must be ${issue.inclusive === false ? 'below' : 'at most'} ${issue.maximum}${unitOf(issue.origin)}.`;
		case 'too_small':
			return `The entry must be ${issue.inclusive === false ? 'above' : 'at least'} ${issue.minimum}${unitOf(issue.origin)}.`;
		case 'invalid_value':
			return `The entry must be one of: ${issue.values.join(', ')}.`;
		case 'unrecognized_keys':
			return `There is an entry that is not known here: ${issue.keys.join(', ')}.`;
		default:
			return undefined;
	}
}

/**
 * What is wrong with a file, and with which entry.
 *
 * @param what - the file in words: `run file`
 */
export function placedWords({ code, path, message }: z.core.$ZodIssue, what: string): string {
	if (path.length > 0) return `${message} (${path.join('.')})`;
	return code === 'invalid_type' ? `It is not a ${what}.` : message;
}

/** What the size of an entry is counted in. */
function unitOf(origin: string): string {
	return origin === 'string' ? ' characters long' : origin === 'array' ? ' entries long' : '';
}
