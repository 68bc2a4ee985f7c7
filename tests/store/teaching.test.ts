import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import type { TaughtClass, TaughtSpot } from '@/lib/material/taughtSpot';
import type { Store } from '@/lib/store/database';
import {
	DEFAULT_MATERIAL_NAME,
	getMaterial,
	isMaterialUsed,
	listMaterials,
	removeMaterial,
	restoreMaterial,
} from '@/lib/store/materials';
import { addPhoto, getPhoto } from '@/lib/store/photos';
import { setRunMaterial } from '@/lib/store/runs';
import { applyLessons, keepSpots, lessonsOf, listTaught, startTeaching, undoSpots } from '@/lib/store/teaching';
import { storedRun, temporaryFolder, temporaryStore } from './temporaryStore';

/** Nothing is looked at on a photo, and the model stays as it is. */
const NO_MODEL = {
	studySpots: async (_: unknown, spots: readonly TaughtSpot[]) => spots,
	refitModel: async () => undefined,
};

async function withPhoto(store: Store) {
	const { runId, productId } = await storedRun(store);
	const id = randomUUID();
	await addPhoto(
		store,
		{ id, spreadId: randomUUID(), productId, originalName: 'a.jpg' },
		{ sha256: 'a'.repeat(64), sizeBytes: 1 },
	);
	return { runId, photo: id };
}

function spot(id: string, photo: string, kind: TaughtClass, colour: readonly [number, number, number]): TaughtSpot {
	const colours = Array.from({ length: 9 }, (_, k): [number, number, number] => [
		colour[0] + (k % 3),
		colour[1] + Math.floor(k / 3),
		colour[2] + ((k * 5) % 4),
	]);
	// spots of the tests lie apart, each at a place that its name gives
	return { id, photo, class: kind, xPx: 50 * id.length, yPx: 10, radiusPx: 4, colours, features: [] };
}

test('spots are kept with their photo, undone and brought back, and outlast a restart', async () => {
	const folder = await temporaryFolder();
	const store = await temporaryStore(folder);
	const { photo } = await withPhoto(store);
	await startTeaching(store, 'Harness', DEFAULT_MATERIAL_NAME);
	const one = spot('a', photo, 'insulation', [30, 40, 20]);
	const two = spot('bb', photo, 'background', [80, 0, 0]);
	await keepSpots(store, 'Harness', [one, two]);
	await keepSpots(store, 'Harness', [one]);
	await undoSpots(store, 'Harness', ['bb']);
	expect((await lessonsOf(store, 'Harness')).spots).toEqual([one]);
	await keepSpots(store, 'Harness', [two]);
	await store.close();
	const again = await temporaryStore(folder);
	expect((await lessonsOf(again, 'Harness')).spots.map(({ id }) => id)).toEqual(['a', 'bb']);
	expect(await listTaught(again)).toEqual({ taught: ['Harness'], bases: [DEFAULT_MATERIAL_NAME] });
});

test('photos are read with what was taught only when that is asked for, and then read again', async () => {
	const store = await temporaryStore();
	const { runId, photo } = await withPhoto(store);
	await startTeaching(store, 'Harness', DEFAULT_MATERIAL_NAME);
	await setRunMaterial(store, runId, 'Harness');
	const before = await getMaterial(store, 'Harness');
	await keepSpots(store, 'Harness', [spot('a', photo, 'insulation', [30, 40, 20])]);
	expect(await getMaterial(store, 'Harness')).toEqual(before);
	expect((await lessonsOf(store, 'Harness')).isUsed).toBe(false);
	await store.db.updateTable('photo').set({ state: 'graded', analysis_key: 'k' }).execute();
	const { material } = await applyLessons(store, NO_MODEL, 'Harness');
	expect(material.classes.insulation.colours.length).toBe(before.classes.insulation.colours.length + 1);
	expect(await getMaterial(store, 'Harness')).toEqual(material);
	expect(await lessonsOf(store, 'Harness')).toMatchObject({ isUsed: true, isModelFitted: false });
	expect((await getPhoto(store, photo)).state).toEqual({ kind: 'queued' });
});

test('a name that is a material already, or none, is refused', async () => {
	const store = await temporaryStore();
	await expect(startTeaching(store, DEFAULT_MATERIAL_NAME, DEFAULT_MATERIAL_NAME)).rejects.toThrow('already');
	await expect(startTeaching(store, '  ', DEFAULT_MATERIAL_NAME)).rejects.toThrow('name');
	await expect(lessonsOf(store, DEFAULT_MATERIAL_NAME)).rejects.toThrow('not taught');
});

test('a material that nothing goes by is removed with its spots and brought back with them; one in use stays', async () => {
	const store = await temporaryStore();
	const { runId, photo } = await withPhoto(store);
	await startTeaching(store, 'Slip', DEFAULT_MATERIAL_NAME);
	await expect(startTeaching(store, 'Slip', DEFAULT_MATERIAL_NAME)).rejects.toThrow('"Slip" is taught already.');
	await keepSpots(store, 'Slip', [
		spot('a', photo, 'insulation', [30, 40, 20]),
		spot('bb', photo, 'other', [50, 0, 0]),
	]);
	await undoSpots(store, 'Slip', ['bb']);
	await removeMaterial(store, 'Slip');
	expect((await listMaterials(store)).map(({ name }) => name)).toEqual([DEFAULT_MATERIAL_NAME]);
	await restoreMaterial(store, 'Slip');
	expect((await lessonsOf(store, 'Slip')).spots.map(({ id }) => id)).toEqual(['a']);
	await removeMaterial(store, 'Slip');
	await startTeaching(store, 'Slip', DEFAULT_MATERIAL_NAME);
	expect((await lessonsOf(store, 'Slip')).spots).toEqual([]);
	await setRunMaterial(store, runId, 'Slip');
	expect(await isMaterialUsed(store, 'Slip')).toBe(true);
	await expect(removeMaterial(store, 'Slip')).rejects.toThrow('"Slip" is in use.');
	await setRunMaterial(store, runId, DEFAULT_MATERIAL_NAME);
	await store.db
		.updateTable('photo')
		.set({ choice: JSON.stringify({ material: 'Slip' }) })
		.execute();
	await expect(removeMaterial(store, 'Slip')).rejects.toThrow('"Slip" is in use.');
});
