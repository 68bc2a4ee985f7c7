import 'server-only';
import { classMapName } from './analyses';
import { checkRecords, type RecordsCheck } from './checkRecords';
import type { Store } from './database';
import { originalsOf } from './lostPhotos';
import { stateOfPhoto } from './photoFiles';

/** What a yard's files hold, set against what is on record. */
export interface YardCheck {
	/** Different originals on record. */
	readonly photos: number;
	/** Checksums of originals that are gone, or no longer what they were. */
	readonly missing: readonly string[];
	readonly altered: readonly string[];
	/** Keys of readings whose class map is gone. */
	readonly mapsMissing: readonly string[];
	readonly records: RecordsCheck;
}

/**
 * Read every original of a yard and set it against its checksum, wherever it is kept, and look for the class map of every reading
 * that holds; prove each sealed record by its seal and its pictures. The database's own integrity is for its server to prove.
 */
export async function checkYard(store: Store): Promise<YardCheck> {
	const photos = await originalsOf(store);
	const found = { missing: [] as string[], altered: [] as string[], mapsMissing: [] as string[] };
	for (const sha256 of photos) {
		const state = await stateOfPhoto(store.files, sha256);
		if (state !== 'whole') found[state].push(sha256);
	}
	const readings = await store.db
		.selectFrom('photo')
		.select('analysis_key as key')
		.distinct()
		.where('analysis_key', 'is not', null)
		.orderBy('key')
		.execute();
	for (const { key } of readings) {
		if (key !== null && (await store.files.sizeOf(classMapName(key))) === undefined) found.mapsMissing.push(key);
	}
	const sealed = await store.db.selectFrom('record').select(['number', 'sealed']).orderBy('number').execute();
	return { photos: photos.length, ...found, records: await checkRecords(store.files, sealed) };
}
