import path from 'node:path';
import { TrayError } from '@/lib/errors/TrayError';
import { BUILT_IN_MATERIALS, builtInMaterial } from '@/lib/material/builtInMaterials';
import { type Material, materialSchema } from '@/lib/material/material';
import { readJsonFile } from './readJsonFile';

/**
 * A built-in material by its name, or a material file; the usual material where none is named.
 *
 * @param beside - a file to whose folder the name is relative
 * @throws TrayError `material-unreadable`
 */
export async function openMaterial(name: string | undefined, beside: string | undefined): Promise<Material> {
	if (name === undefined) return BUILT_IN_MATERIALS[0];
	const builtIn = builtInMaterial(name);
	if (builtIn !== undefined) return builtIn;
	const file = beside === undefined ? name : path.resolve(path.dirname(beside), name);
	try {
		return await readJsonFile(file, 'material file', materialSchema);
	} catch (cause) {
		if (!(cause instanceof TrayError) || /[./\\]/.test(name)) throw cause;
		const known = BUILT_IN_MATERIALS.map((material) => material.name).join(', ');
		throw new TrayError(
			'material-unreadable',
			`There is no material called ${name}.`,
			`Built in: ${known}. Or name a material file.`,
			{ cause },
		);
	}
}
