import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { WARNING_HELP } from '@/lib/report/warningHelp';

/** Folders whose files make warnings about a photo. */
const MAKERS = ['lib/photo', 'lib/colour', 'lib/particles'];

test('every warning that a photo can carry has its words of help, and no other', () => {
	const made = MAKERS.flatMap((folder) =>
		readdirSync(folder).flatMap((file) =>
			[...readFileSync(path.join(folder, file), 'utf8').matchAll(/\bcode: '([a-z-]+)'/g)].map(([, code]) => code),
		),
	);
	expect(new Set(WARNING_HELP.map(({ code }) => code))).toEqual(new Set(made));
	expect(WARNING_HELP.length).toBe(new Set(made).size);
});
