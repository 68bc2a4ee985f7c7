import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { Metadata } from 'next';
import { byLicence, licenceList } from '@/lib/report/licenceList';

export const metadata: Metadata = { title: 'Licences' };

/** What the program is built from, and what each part may be used under. */
export default async function Licences() {
	const lock: unknown = JSON.parse(
		await readFile(path.join(/* turbopackIgnore: true */ '.', 'package-lock.json'), 'utf8'),
	);
	const list = licenceList(lock);
	return (
		<>
			<h1>Licences</h1>
			<p className="narrow">
				Deckside runs with {list.length} packages made by others, each under its own licence; the licence texts lie with
				the packages in node_modules. <code>npm run --silent licences</code> prints the list in the SPDX format.
			</p>
			{byLicence(list).map(([licence, packages]) => (
				<details key={licence}>
					<summary>
						{licence}: {packages.length} {packages.length === 1 ? 'package' : 'packages'}
					</summary>
					<ul>
						{packages.map(({ name, version }) => (
							<li key={`${name} ${version}`}>
								{name} {version}
							</li>
						))}
					</ul>
				</details>
			))}
		</>
	);
}
