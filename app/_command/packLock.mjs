/**
 * Writes package-lock.json one package a line and without what `npm ci` does not need, so that it stays small and is compared line by
 * line. Licences stay where `npm run licences` lists them.
 */
import { readFile, writeFile } from 'node:fs/promises';

const FILE = 'package-lock.json';
const { packages, ...head } = JSON.parse(await readFile(FILE, 'utf8'));
const lines = Object.entries(packages).map(([place, { engines, funding, resolved, ...kept }]) => {
	if (place === '') return line(place, { ...kept, engines });
	if (kept.dev) delete kept.license;
	return line(place, kept);
});
const heads = Object.entries(head).map(([name, value]) => line(name, value));
await writeFile(FILE, `{\n${heads.join(',\n')},\n"packages":{\n${lines.join(',\n')}\n}\n}\n`);

function line(name, value) {
	return `${JSON.stringify(name)}:${JSON.stringify(value)}`;
}
