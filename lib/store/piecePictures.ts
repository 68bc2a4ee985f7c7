import 'server-only';
import { classMapName, getAnalyses } from './analyses';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { getMaterial } from './materials';
import { notFound } from './notFound';
import { getPhoto } from './photos';
import { getRun } from './runs';
import { sha256Of } from './sha256Of';
import { keepIfPossible, storageError } from './storageFault';

/** Raised when the same class map could be outlined in another way. */
const OUTLINE_VERSION = 1;

/**
 * Outlines and sizes of the pieces on a photo, as the JSON of a `PiecePicture`; worked out once and kept.
 *
 * @throws TrayError `not-found` while the photo is not graded, `storage` when its class map is lost
 */
export async function piecePictureOf(
	store: Store,
	pool: Pick<AnalysisPool, 'outlinePieces'>,
	photoId: string,
): Promise<Uint8Array> {
	const { state, runId } = await getPhoto(store, photoId);
	if (state.kind !== 'graded') return notFound('outline yet');
	const key = state.analysisKey;
	const material = await getMaterial(store, (await getRun(store, runId)).material);
	const name = sha256Of(JSON.stringify([OUTLINE_VERSION, key, material]));
	const keptName = `previews/${name}-pieces.json`;
	const kept = await store.files.read(keptName);
	if (kept !== undefined) return kept;
	const analysis = (await getAnalyses(store, [key])).get(key);
	if (analysis === undefined) return notFound('outline yet');
	const classMapPng = await store.files.read(classMapName(key));
	if (classMapPng === undefined) throw storageError('map-missing');
	const json = Buffer.from(JSON.stringify(await pool.outlinePieces({ classMapPng, analysis, material })));
	await keepIfPossible(store.files.write(keptName, json));
	return json;
}
