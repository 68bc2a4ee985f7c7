import 'server-only';
import { TrayError } from '../errors/TrayError';
import { BUILT_IN_MATERIALS } from '../material/builtInMaterials';
import type { Material } from '../material/material';
import { type TaughtSpot, taughtSpotSchema } from '../material/taughtSpot';
import { type Taught, teachMaterial } from '../material/teachMaterial';
import { getAnalyses } from './analyses';
import type { FieldOnPhoto, PhotoOrder } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { readingChoiceSchema } from './entries';
import { nextInstant } from './instant';
import { getMaterial, listMaterials, saveMaterial } from './materials';
import { notFound } from './notFound';
import { readPhoto } from './photoFiles';
import { getPhoto } from './photos';
import { requeueMaterial } from './readAnew';
import { matScaleOf } from './settings';

/** What was taught under one name. */
export interface Lessons {
	readonly name: string;
	/** The material that it was taught on top of. */
	readonly base: Material;
	/** In the order of teaching, undone ones left out. */
	readonly spots: readonly TaughtSpot[];
	/** Photos are read with exactly these spots. */
	readonly isUsed: boolean;
	/** The trained model was fitted to the spots that photos are read with. */
	readonly isModelFitted: boolean;
}

/** Names of the materials that were taught, and of those that one can be taught on top of. */
export async function listTaught(
	store: Store,
): Promise<{ readonly taught: readonly string[]; readonly bases: readonly string[] }> {
	const names = (await listMaterials(store)).map(({ name }) => name);
	const materials = await Promise.all(names.map((name) => getMaterial(store, name)));
	const isTaught = ({ taughtFrom }: Material) => taughtFrom !== undefined;
	return {
		taught: materials.filter(isTaught).map(({ name }) => name),
		bases: materials.filter((material) => !isTaught(material)).map(({ name }) => name),
	};
}

/**
 * Begin to teach a material under a name.
 *
 * @throws TrayError `material-unreadable` when the name is empty, too long, or taken
 */
export async function startTeaching(store: Store, name: string, baseName: string): Promise<void> {
	const called = name.trim();
	if (called.length > 80) throw nameError('The name is too long.', 'Use 80 letters or fewer.');
	const { taught, bases } = await listTaught(store);
	if (taught.includes(called))
		throw nameError(`"${called}" is taught already.`, 'Go on with it, or choose another name.');
	if (bases.includes(called)) throw nameError(`"${called}" is a material already.`, 'Choose another name.');
	const base = await getMaterial(store, bases.includes(baseName) ? baseName : BUILT_IN_MATERIALS[0].name);
	await saveMaterial(store, JSON.stringify(teachMaterial(base, called, []).material));
}

/**
 * What was taught under a name.
 *
 * @throws TrayError `material-unreadable` when there is no such material, or it was not taught
 */
export async function lessonsOf(store: Store, name: string): Promise<Lessons> {
	const material = await getMaterial(store, name);
	if (material.taughtFrom === undefined) {
		throw nameError(`"${name}" was not taught on photos.`, 'Choose one that was, or begin a new one.');
	}
	const rows = await store.db
		.selectFrom('taught_spot')
		.select('spot')
		.where('material', '=', name)
		.where('deleted_at', 'is', null)
		.orderBy('created_at')
		.orderBy('id')
		.execute();
	const spots = rows.map(({ spot }) => taughtSpotSchema.parse(JSON.parse(spot)));
	const used = (material.spots ?? []).map(({ id }) => id);
	const isUsed = used.length === spots.length && spots.every(({ id }) => used.includes(id));
	const isModelFitted = material.lastLayer !== undefined;
	return { name, base: await getMaterial(store, material.taughtFrom), spots, isUsed, isModelFitted };
}

function nameError(message: string, hint: string): TrayError {
	return new TrayError('material-unreadable', message, hint);
}

/** Keep spots with the photo they came from; one that is sent twice is kept once, one that was undone comes back. */
export async function keepSpots(store: Store, name: string, spots: readonly TaughtSpot[]): Promise<void> {
	for (const spot of spots) {
		await getPhoto(store, spot.photo);
		await store.db
			.insertInto('taught_spot')
			.values({
				material: name,
				id: spot.id,
				photo_id: spot.photo,
				spot: JSON.stringify(spot),
				created_at: nextInstant(),
				deleted_at: null,
			})
			.onConflict((conflict) => conflict.columns(['material', 'id']).doUpdateSet({ deleted_at: null }))
			.execute();
	}
}

/** Undo spots; keeping them again brings them back. */
export async function undoSpots(store: Store, name: string, ids: readonly string[]): Promise<void> {
	await store.db
		.updateTable('taught_spot')
		.set({ deleted_at: new Date().toISOString() })
		.where('material', '=', name)
		.where('id', 'in', [...ids])
		.execute();
}

/**
 * Read photos with what was taught: the material is made from its spots as they are now, and all photos that use it wait to be
 * read again. Spots are first looked at on the whole photo, where that was not done before.
 */
export async function applyLessons(
	store: Store,
	pool: Pick<AnalysisPool, 'studySpots' | 'refitModel'>,
	name: string,
): Promise<Taught> {
	await studyNew(store, pool, name);
	const { base, spots } = await lessonsOf(store, name);
	const taught = teachMaterial(base, name, spots);
	const lastLayer = await pool.refitModel(spots);
	const material = lastLayer === undefined ? taught.material : { ...taught.material, lastLayer };
	await saveMaterial(store, JSON.stringify(material));
	await requeueMaterial(store, name);
	return { ...taught, material };
}

async function studyNew(store: Store, pool: Pick<AnalysisPool, 'studySpots'>, name: string): Promise<void> {
	const { spots } = await lessonsOf(store, name);
	// those that were looked at by an earlier version lack what lies about them
	const isSeen = ({ features, beside }: TaughtSpot) => features?.length === 0 || (features && beside) !== undefined;
	const isNew = (spot: TaughtSpot) => spot.radiusPx > 0 && !isSeen(spot);
	for (const photo of new Set(spots.filter(isNew).map((spot) => spot.photo))) {
		const own = spots.filter((spot) => isNew(spot) && spot.photo === photo);
		const order = await orderOf(store, photo);
		if (order === undefined) continue;
		for (const spot of await pool.studySpots(order, own)) {
			await store.db
				.updateTable('taught_spot')
				.set({ spot: JSON.stringify(taughtSpotSchema.parse(spot)) })
				.where('material', '=', name)
				.where('id', '=', spot.id)
				.execute();
		}
	}
}

/**
 * Where the field of a photo is, read or not: an empty tray is no spread, but teaches the surface.
 *
 * @throws TrayError `surface-missing` when there is none
 */
export async function fieldOf(
	store: Store,
	pool: Pick<AnalysisPool, 'locateField'>,
	photoId: string,
): Promise<FieldOnPhoto> {
	const { state } = await getPhoto(store, photoId);
	const key = state.kind === 'graded' ? state.analysisKey : undefined;
	const analysis = key === undefined ? undefined : (await getAnalyses(store, [key])).get(key);
	if (analysis !== undefined) {
		const { surface, widthPx, heightPx, cornersPx, fieldWidthMm, fieldHeightMm } = analysis;
		return { surface, widthPx, heightPx, cornersPx, fieldWidthMm, fieldHeightMm };
	}
	const order = await orderOf(store, photoId);
	return order === undefined ? notFound('photo') : pool.locateField(order);
}

/** A photo's bytes and how its field is found; one that was removed since can still be looked at, one that is gone cannot. */
async function orderOf(store: Store, photoId: string): Promise<PhotoOrder | undefined> {
	const row = await store.db
		.selectFrom('photo')
		.select(['sha256', 'choice'])
		.where('id', '=', photoId)
		.executeTakeFirst();
	if (row === undefined) return undefined;
	const { sha256 } = row;
	const choice = readingChoiceSchema.parse(JSON.parse(row.choice));
	return {
		bytes: await readPhoto(store.files, sha256),
		choice,
		matScale: await matScaleOf(store, choice),
	};
}
