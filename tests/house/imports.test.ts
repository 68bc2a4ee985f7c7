import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';

/** The data's way through the program: a folder may import only from itself and from folders before it. */
const FLOW = [
	'errors',
	'quantity',
	'material',
	'photo',
	'colour',
	'segmentation',
	'particles',
	'grade',
	'balance',
	'value',
	'conformity',
	'report',
	'store',
];

const files = readdirSync('lib', { recursive: true, encoding: 'utf8' }).filter((name) => /\.tsx?$/.test(name));

test.each(files)('lib/%s imports only from upstream', (file) => {
	const here = FLOW.indexOf(file.split(path.sep)[0] ?? '');
	expect(here, 'folder is listed in FLOW').toBeGreaterThanOrEqual(0);
	for (const [, spec] of readFileSync(path.join('lib', file), 'utf8').matchAll(/(?:from|import\() ?'([^']+)'/g)) {
		const target = spec?.startsWith('@/')
			? spec.slice(2)
			: spec?.startsWith('.')
				? path.join('lib', path.dirname(file), spec)
				: undefined;
		if (target === undefined) continue; // a package, not ours
		const [top, folder] = target.split(path.sep);
		expect(top, spec).toBe('lib');
		expect(FLOW.indexOf(folder ?? ''), `${spec} is upstream`).toBeLessThanOrEqual(here);
		expect(FLOW.indexOf(folder ?? ''), `${spec} is a listed folder`).toBeGreaterThanOrEqual(0);
	}
});
