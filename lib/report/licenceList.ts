import { z } from 'zod';

/** A package that the program is built from, and what it may be used under. */
export interface PackageLicence {
	readonly name: string;
	readonly version: string;
	/** SPDX expression, or what the package says in its place. */
	readonly licence: string;
}

/** @source npm documentation, package-lock.json, lockfileVersion 3 */
const lockSchema = z.object({
	packages: z.record(
		z.string(),
		z.object({ version: z.string().optional(), license: z.string().optional(), dev: z.boolean().optional() }),
	),
});

/** Licences of packages that do not name one where others do, read from the licence files that they carry. */
const FROM_THEIR_FILES: Readonly<Record<string, string>> = {
	'png-js': 'MIT',
	'dejavu-fonts-ttf': 'Bitstream-Vera',
};

/**
 * The packages that the program runs with, by name; those for building and testing alone are left out.
 *
 * @param lock - the content of package-lock.json
 * @throws ZodError when it is not of the known form
 */
export function licenceList(lock: unknown): readonly PackageLicence[] {
	const { packages } = lockSchema.parse(lock);
	return Object.entries(packages)
		.filter(([place, { dev }]) => place !== '' && dev !== true)
		.map(([place, { version = '', license }]) => {
			const name = place.slice(place.lastIndexOf('node_modules/') + 'node_modules/'.length);
			return { name, version, licence: FROM_THEIR_FILES[name] ?? license ?? 'not named' };
		})
		.sort((a, b) => a.name.localeCompare(b.name, 'en') || a.version.localeCompare(b.version, 'en'));
}

/** Packages by licence, the licence of most packages first. */
export function byLicence(list: readonly PackageLicence[]): readonly (readonly [string, readonly PackageLicence[]])[] {
	const groups = new Map<string, PackageLicence[]>();
	for (const one of list) groups.set(one.licence, [...(groups.get(one.licence) ?? []), one]);
	return [...groups].sort(([a, x], [b, y]) => y.length - x.length || a.localeCompare(b, 'en'));
}
