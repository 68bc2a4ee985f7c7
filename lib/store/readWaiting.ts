import 'server-only';
import { TrayError } from '../errors/TrayError';
import { classMapPng } from '../report/classMapFile';
import { classMapName } from './analyses';
import type { AnalysedPhoto, AnalysisOptions } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { readingChoiceSchema } from './entries';
import { nextInstant } from './instant';
import { getMaterial } from './materials';
import { readPhoto } from './photoFiles';
import type { PhotoJob, PhotoJobs } from './photoJobs';
import { matScaleOf } from './settings';
import { sha256Of } from './sha256Of';
import { isAway, isPassing, isPhotoLost, isStorageTrouble } from './storageFault';

/**
 * Read a photo that was taken out of the line, and say what became of it.
 *
 * @throws TrayError `storage` where the trouble is not the photo's: it waits for its turn again
 */
export async function readWaiting(
	jobs: PhotoJobs,
	job: PhotoJob,
	pool: Pick<AnalysisPool, 'analysePhoto'>,
	stop: AbortSignal,
): Promise<void> {
	const { id, store } = job;
	try {
		const order = await orderFor(store, id);
		if (order === undefined) return jobs.finish(job);
		const { sha256, options } = order;
		const key = analysisKey(sha256, options);
		await analyseUnlessKept(store, pool, sha256, options, key, stop);
		const now = await orderFor(store, id);
		if (now === undefined) return jobs.finish(job);
		const stillAsked = analysisKey(now.sha256, now.options) === key;
		const done = { state: 'graded', analysis_key: key, refused_message: null, refused_hint: null };
		// a photo that was put back into the queue meanwhile, or taken by another program, is no longer ours and keeps its place there
		await jobs.finish(job, stillAsked ? done : { state: 'queued' });
	} catch (error) {
		const known = error instanceof TrayError;
		// who stopped it has said what becomes of the photo
		if (known && error.code === 'stopped') return jobs.finish(job);
		// nothing is wrong with the photo, and every other one would meet the same
		if (isAway(error) || isPassing(error)) throw error;
		if (!known) console.error(`Photo ${id} could not be read:`, error);
		await jobs.finish(job, {
			state: 'refused',
			refused_message: known ? error.message : 'The program stumbled over this photo.',
			refused_hint: known ? hintFor(error) : 'Read it again. If it stays so, take the photo again.',
		});
	}
}

/** Trouble with the disk while a photo is read leaves the photo itself as it was; only a lost original has to be sent again. */
function hintFor(error: TrayError): string {
	if (!isStorageTrouble(error) || isPhotoLost(error)) return error.hint;
	return 'The photo itself is kept. Once that is put right, read it again.';
}

/** The photo's bytes by name, and how it is to be read as things stand now; undefined once it is gone, as with the demonstration. */
async function orderFor(store: Store, id: string): Promise<{ sha256: string; options: AnalysisOptions } | undefined> {
	const found = await store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.innerJoin('product', 'product.id', 'spread.product_id')
		.innerJoin('run', 'run.id', 'product.run_id')
		.select(['photo.sha256', 'photo.choice', 'run.material'])
		.where('photo.id', '=', id)
		.executeTakeFirst();
	if (found === undefined) return undefined;
	const { sha256, choice, material } = found;
	return { sha256, options: await optionsOf(store, choice, material) };
}

async function optionsOf(store: Store, choiceText: string, runMaterial: string): Promise<AnalysisOptions> {
	const choice = readingChoiceSchema.parse(JSON.parse(choiceText));
	return {
		choice,
		material: await getMaterial(store, choice.material ?? runMaterial),
		matScale: await matScaleOf(store, choice),
	};
}

/** Same photo, same options, same engine: same key, whether the mat's scale was said with the photo or measured here. */
export function analysisKey(sha256: string, { choice, ...others }: AnalysisOptions): string {
	const { printedScale: _, ...said } = choice;
	return sha256Of(JSON.stringify([sha256, { choice: said, ...others }, ENGINE_VERSION]));
}

async function analyseUnlessKept(
	store: Store,
	pool: Pick<AnalysisPool, 'analysePhoto'>,
	sha256: string,
	options: AnalysisOptions,
	key: string,
	stop: AbortSignal,
): Promise<void> {
	const kept = await store.db.selectFrom('analysis').select('key').where('key', '=', key).executeTakeFirst();
	if (kept !== undefined && (await store.files.sizeOf(classMapName(key))) !== undefined) return;
	const bytes = await readPhoto(store.files, sha256);
	if (stop.aborted) throw new TrayError('stopped', 'The reading was stopped.', 'Read it when you are ready.');
	const started = performance.now();
	const analysed = await pool.analysePhoto(bytes, options, stop);
	const tookMs = performance.now() - started;
	await keepClassMap(store, key, analysed);
	await store.db
		.insertInto('analysis')
		.values({
			key,
			result: JSON.stringify(analysed.analysis),
			engine_version: ENGINE_VERSION,
			took_ms: tookMs,
			created_at: nextInstant(),
		})
		.onConflict((conflict) => conflict.column('key').doNothing())
		.execute();
}

async function keepClassMap(store: Store, key: string, { classMap, analysis }: AnalysedPhoto): Promise<void> {
	const png = await classMapPng(classMap, { width: analysis.widthPx, height: analysis.heightPx });
	await store.files.write(classMapName(key), png);
}
