import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { byLicence, licenceList } from '@/lib/report/licenceList';

const list = licenceList(JSON.parse(readFileSync('package-lock.json', 'utf8')));

/** Licences under which a package may be used in a program that is not itself given away; LGPL parts stay apart and unmodified. */
const USABLE =
	/^\(?(MIT|ISC|0BSD|Apache-2\.0|BSD-[23]-Clause|BSL-1\.0|CC-BY-4\.0|LGPL-3\.0(-or-later)?|WTFPL|Bitstream-Vera)( (AND|OR) (MIT|ISC|Apache-2\.0|BSL-1\.0|LGPL-3\.0-or-later|WTFPL|BSD-2-Clause|CC0-1\.0))*\)?$/;

test('every package that the program runs with names a licence that it may be used under', () => {
	expect(list.length).toBeGreaterThan(100);
	expect(list.filter(({ licence }) => !USABLE.test(licence))).toEqual([]);
});

test('packages for building and testing alone are left out', () => {
	const names = list.map(({ name }) => name);
	expect(names).toEqual(expect.arrayContaining(['next', 'sharp', 'zod']));
	for (const name of ['vitest', '@biomejs/biome', 'axe-core']) expect(names).not.toContain(name);
});

test('grouping by licence loses no package', () => {
	const groups = byLicence(list);
	expect(groups.flatMap(([, packages]) => packages)).toHaveLength(list.length);
	expect(groups.map(([, { length }]) => length)).toEqual(
		groups.map(([, { length }]) => length).toSorted((a, b) => b - a),
	);
});
