import { execFileSync } from 'node:child_process';
import { readFileSync, statSync } from 'node:fs';
import { expect, test } from 'vitest';

const tracked = execFileSync('git', ['ls-files', '-z'], { encoding: 'utf8' }).split('\0').filter(Boolean);
const written = tracked.filter((name) => /\.(tsx?|mjs|css|json|md|py)$/.test(name) && name !== 'package-lock.json');
const code = tracked.filter((name) => /^(lib|app)\/.*\.tsx?$/.test(name));

test('the top level holds what it says and nothing else', () => {
	const top = new Set(tracked.map((name) => name.split('/')[0]));
	const allowed = [
		'.ci',
		'.gitignore',
		'DEVELOPERS.md',
		'README.md',
		'app',
		'demo-images',
		'lib',
		'models',
		'next.config.mjs',
	];
	allowed.push('package-lock.json', 'package.json', 'tests', 'tsconfig.json');
	expect([...top].filter((name) => !allowed.includes(name ?? ''))).toEqual([]);
});

test.each([
	['a path of one machine', /(^|[\s"'`(=])\/(home|root|tmp|work|Users)\/[a-z]/],
	['an unfinished mark', /\b(TODO|FIXME|XXX|HACK)\b/],
	['a switched-off check', /@ts-ignore|@ts-expect-error|biome-ignore|eslint-disable|\bas any\b/],
	['an unseeded random number', /Math\.random\(/],
	['a test that does not run or runs alone', /\b(test|it|describe)\.(skip|only|todo)\b/],
])('no file holds %s', (_, pattern) => {
	const here = 'tests/house/tree.test.ts';
	const found = written.filter((name) => name !== here && pattern.test(readFileSync(name, 'utf8')));
	expect(found).toEqual([]);
});

test('source files stay short enough to be read at one sitting', () => {
	const long = code.filter((name) => readFileSync(name, 'utf8').split('\n').length > 320);
	expect(long).toEqual([]);
});

test('no tracked file is larger than a picture needs, and all together stay small', () => {
	const sizes = tracked.map((name) => [name, statSync(name).size] as const);
	expect(sizes.filter(([, bytes]) => bytes > 2_000_000)).toEqual([]);
	expect(sizes.reduce((sum, [, bytes]) => sum + bytes, 0)).toBeLessThan(11_000_000);
});

test('no folder is a dumping ground', () => {
	expect(tracked.filter((name) => /(^|\/)(utils?|helpers?|common|misc)(\/|\.tsx?$)/.test(name))).toEqual([]);
});

test('pages use only what a browser offers a page that came over a local network without encryption', () => {
	const kept = /\bcrypto\.randomUUID\b|navigator\.(serviceWorker|clipboard|wakeLock|storage)\.\w|\bcaches\.\w/;
	const inBrowser = code.filter(
		(name) => /^['"]use client/m.test(readFileSync(name, 'utf8')) || /^app\/_(parts|outbox)\//.test(name),
	);
	expect(inBrowser.filter((name) => kept.test(readFileSync(name, 'utf8')))).toEqual([]);
});

test('every action that sends a form back keeps what was typed where it cannot be saved', () => {
	const bare = /^export (async )?function \w+\([^)]*\bFormState\b/m;
	expect(code.filter((name) => name.startsWith('app/_actions/') && bare.test(readFileSync(name, 'utf8')))).toEqual([]);
});

test('what lib exports is used by the program, not by tests alone', () => {
	const used = new Map<string, number>();
	for (const name of tracked.filter((name) => /^(lib|app|models)\/.*\.(tsx?|mjs)$/.test(name)))
		for (const [word] of readFileSync(name, 'utf8').matchAll(/[\w$]+/g)) used.set(word, (used.get(word) ?? 0) + 1);
	const exported = code
		.filter((name) => name.startsWith('lib/'))
		.flatMap((name) => [
			...readFileSync(name, 'utf8').matchAll(
				/^export (?:async )?(?:function\*?|const|class|interface|type) ([\w$]+)/gm,
			),
		]);
	expect(exported.length).toBeGreaterThan(500);
	expect(exported.map(([, word]) => word!).filter((word) => used.get(word) === 1)).toEqual([]);
});
