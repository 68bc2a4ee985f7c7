import 'server-only';
import { issueWords, placedWords } from '../errors/issueWords';
import { TrayError } from '../errors/TrayError';
import { BUILT_IN_MATERIALS, builtInMaterial } from '../material/builtInMaterials';
import { type Material, materialSchema } from '../material/material';
import type { Store } from './database';
import { nextInstant } from './instant';
import { namesMaterial } from './readAnew';

/** A material that photos can be read with. */
export interface MaterialLine {
	readonly name: string;
	readonly note: string;
	readonly builtIn: boolean;
}

/** Name of the material that a new run starts with. */
export const DEFAULT_MATERIAL_NAME = BUILT_IN_MATERIALS[0].name;

/** Built-in materials first, then the user's own. */
export async function listMaterials(store: Store): Promise<readonly MaterialLine[]> {
	const rows = await store.db
		.selectFrom('material')
		.select(['name', 'material'])
		.where('deleted_at', 'is', null)
		.orderBy('name')
		.execute();
	return [
		...BUILT_IN_MATERIALS.map(({ name, note }) => ({ name, note, builtIn: true })),
		...rows.map((row) => ({
			name: row.name,
			note: materialSchema.parse(JSON.parse(row.material)).note,
			builtIn: false,
		})),
	];
}

/**
 * The material of that name.
 *
 * @throws TrayError `material-unreadable` when there is none
 */
export async function getMaterial(store: Store, name: string): Promise<Material> {
	const builtIn = builtInMaterial(name);
	if (builtIn !== undefined) return builtIn;
	const row = await store.db
		.selectFrom('material')
		.select('material')
		.where('name', '=', name)
		.where('deleted_at', 'is', null)
		.executeTakeFirst();
	if (row !== undefined) return materialSchema.parse(JSON.parse(row.material));
	throw new TrayError('material-unreadable', `There is no material called "${name}".`, 'Choose another material.');
}

/**
 * Save a material of the user's own from its file's text; one of the same name is replaced.
 *
 * @throws TrayError `material-unreadable` with the first thing that is wrong
 */
export async function saveMaterial(store: Store, text: string): Promise<Material> {
	const material = readMaterial(text);
	if (builtInMaterial(material.name) !== undefined) {
		const hint = 'Give yours another name in the file.';
		throw new TrayError('material-unreadable', `"${material.name}" is the name of a built-in material.`, hint);
	}
	const saved = { material: JSON.stringify(material), created_at: nextInstant(), deleted_at: null };
	await store.db
		.insertInto('material')
		.values({ name: material.name, ...saved })
		.onConflict((conflict) => conflict.column('name').doUpdateSet(saved))
		.execute();
	return material;
}

/** Whether a run, a photo or another material goes by this one; removed ones count, since they may be brought back. */
export async function isMaterialUsed({ db }: Store, name: string): Promise<boolean> {
	const run = await db.selectFrom('run').select('id').where('material', '=', name).executeTakeFirst();
	const photo = await db.selectFrom('photo').select('id').where(namesMaterial(name)).executeTakeFirst();
	if (run !== undefined || photo !== undefined) return true;
	const rows = await db.selectFrom('material').select('material').execute();
	return rows.some(({ material }) => materialSchema.parse(JSON.parse(material)).taughtFrom === name);
}

/**
 * Remove a material of the user's own, with what was taught under its name.
 *
 * @throws TrayError `material-unreadable` while it is used
 */
export async function removeMaterial(store: Store, name: string): Promise<void> {
	if (await isMaterialUsed(store, name)) {
		throw new TrayError('material-unreadable', `"${name}" is in use.`, 'Have nothing read with it first.');
	}
	const now = { deleted_at: nextInstant() };
	await store.db
		.updateTable('taught_spot')
		.set(now)
		.where('material', '=', name)
		.where('deleted_at', 'is', null)
		.execute();
	await store.db.updateTable('material').set(now).where('name', '=', name).execute();
}

/** Bring a removed material back, with what was taught when it was removed. */
export async function restoreMaterial({ db }: Store, name: string): Promise<void> {
	const row = await db.selectFrom('material').select('deleted_at').where('name', '=', name).executeTakeFirst();
	if (row?.deleted_at == null) return;
	const there = { deleted_at: null };
	await db
		.updateTable('taught_spot')
		.set(there)
		.where('material', '=', name)
		.where('deleted_at', '=', row.deleted_at)
		.execute();
	await db.updateTable('material').set(there).where('name', '=', name).execute();
}

function readMaterial(text: string): Material {
	let json: unknown;
	try {
		json = JSON.parse(text);
	} catch (cause) {
		throw new TrayError(
			'material-unreadable',
			'The material file is cut short, damaged, or of another kind: it is not JSON.',
			'Choose a material file.',
			{ cause },
		);
	}
	const parsed = materialSchema.safeParse(json, { error: issueWords });
	if (parsed.success) return parsed.data;
	const message = `The material file can't be used: ${placedWords(parsed.error.issues[0]!, 'material file')}`;
	throw new TrayError('material-unreadable', message, 'Mend the file and choose it again.');
}
