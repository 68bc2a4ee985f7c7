import 'server-only';
import { randomUUID } from 'node:crypto';
import { createReadStream, existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { Transaction } from 'kysely';
import { netMassOf } from '../balance/dryMass';
import { TrayError } from '../errors/TrayError';
import { type RunFileInput, runFileSchema } from '../report/runFile';
import type { Store } from './database';
import { readingChoiceSchema } from './entries';
import { runEntryOf } from './importRun';
import { isPostgres } from './isPostgres';
import { addLot } from './lots';
import { keepPhoto } from './photoFiles';
import { addPhoto } from './photos';
import { listProducts, weighProduct } from './products';
import { addRun } from './runs';
import type { Tables } from './schema';
import { getSetting, setSetting } from './settings';

/** Where the invented run and its rendered pictures lie. */
const DEMO_FOLDER = 'demo-images';

/** Load the demonstration the first time a data directory is opened; once removed it stays away until asked for. */
export async function loadDemoOnFirstStart(store: Store): Promise<void> {
	if ((await getSetting(store, 'demoOffered')) !== undefined) return;
	if (!existsSync(/* turbopackIgnore: true */ path.join(DEMO_FOLDER, 'run.json'))) return;
	// what a first start that was cut off half-way left of it
	await removeDemo(store);
	await loadDemo(store);
	await setSetting(store, 'demoOffered', 'yes');
}

/**
 * Put the demonstration run on record. Nothing in it is worked out beforehand: its photos go into the queue like any others.
 *
 * @returns the run's id; the one already there when it is loaded
 * @throws TrayError `file-unreadable` when the demonstration's files are missing
 */
export async function loadDemo(store: Store, folder = DEMO_FOLDER): Promise<string> {
	const there = await demoRunId(store);
	if (there !== undefined) return there;
	const file = await readDemo(folder);
	const [lotId, runId] = [randomUUID(), randomUUID()];
	const { lot } = file;
	const received = lot?.received === undefined ? null : netMassOf(runFileSchema.parse(file).lot!.received!).value;
	await addLot(
		store,
		lotId,
		{
			name: lot?.name ?? 'Demonstration lot',
			source: lot?.source ?? '',
			receivedMassKg: received,
			receivedUnit: 'kg',
			treatment: lot?.note ?? '',
			notes: file.note ?? '',
		},
		true,
	);
	await addRun(store, runId, lotId, runEntryOf(file), file.products, true);
	await addProducts(store, runId, file, folder);
	return runId;
}

async function addProducts(store: Store, runId: string, file: RunFileInput, folder: string): Promise<void> {
	const products = await listProducts(store, runId);
	for (const [p, given] of file.products.entries()) {
		const product = products[p];
		if (product === undefined) continue;
		if (given.weighing !== undefined) await weighProduct(store, product.id, given.weighing);
		const spreads = given.spreads?.map(({ photos }) => photos) ?? given.photos?.map((photo) => [photo]) ?? [];
		for (const photos of spreads) {
			const spreadId = randomUUID();
			for (const request of photos) {
				const name = typeof request === 'string' ? request : request.photo;
				const bytes = createReadStream(/* turbopackIgnore: true */ path.join(folder, path.basename(name)));
				const kept = await keepPhoto(store.files, bytes);
				const sent = { id: randomUUID(), spreadId, productId: product.id, originalName: path.basename(name) };
				await addPhoto(store, sent, kept, readingChoiceSchema.parse({}));
			}
		}
	}
}

async function readDemo(folder: string): Promise<RunFileInput> {
	try {
		const json: unknown = JSON.parse(await readFile(/* turbopackIgnore: true */ path.join(folder, 'run.json'), 'utf8'));
		runFileSchema.parse(json);
		// proved by the line above; kept as typed, so that weights are shown as they were written
		return json as RunFileInput;
	} catch (cause) {
		const hint = 'Install Deckside again, or go on without the demonstration.';
		throw new TrayError('file-unreadable', 'The demonstration run cannot be read.', hint, { cause });
	}
}

async function demoRunId(store: Store): Promise<string | undefined> {
	const row = await store.db
		.selectFrom('run')
		.select('id')
		.where('demo', '=', 1)
		.where('deleted_at', 'is', null)
		.executeTakeFirst();
	return row?.id;
}

/** Hold the demonstration's rows before the count of its run's changes, in the order that others do: so none waits for another in a circle. */
async function holdDemo(tx: Transaction<Tables>): Promise<void> {
	// a transaction of SQLite holds the whole database
	if (!isPostgres(tx)) return;
	await tx.selectFrom('lot').select('id').where('demo', '=', 1).orderBy('id').forUpdate().execute();
	const runs = tx.selectFrom('run').where('run.demo', '=', 1);
	await runs.select('run.id').orderBy('run.id').forUpdate().execute();
	const products = runs.innerJoin('product', 'product.run_id', 'run.id');
	await products.select('product.id').orderBy('product.id').forUpdate('product').execute();
	const checks = products.innerJoin('product_check', 'product_check.product_id', 'product.id');
	await checks.select('product_check.id').orderBy('product_check.id').forUpdate('product_check').execute();
	const spreads = products.innerJoin('spread', 'spread.product_id', 'product.id');
	await spreads.select('spread.id').orderBy('spread.id').forUpdate('spread').execute();
	const photos = spreads.innerJoin('photo', 'photo.spread_id', 'spread.id');
	await photos.select('photo.id').orderBy('photo.id').forUpdate('photo').execute();
}

/** Take the demonstration away for good: rows and kept results. Its pictures stay in demo-images and can be loaded again. */
export async function removeDemo(store: Store): Promise<void> {
	await store.db.transaction().execute(async (tx) => {
		const products = tx
			.selectFrom('product')
			.innerJoin('run', 'run.id', 'product.run_id')
			.select('product.id')
			.where('run.demo', '=', 1);
		const spreads = tx.selectFrom('spread').select('id').where('product_id', 'in', products);
		const read = await tx
			.selectFrom('photo')
			.select('analysis_key as key')
			.where('spread_id', 'in', spreads)
			.where('analysis_key', 'is not', null)
			.$narrowType<{ key: string }>()
			.execute();
		await holdDemo(tx);
		await tx.deleteFrom('photo').where('spread_id', 'in', spreads).execute();
		await tx.deleteFrom('product_check').where('product_id', 'in', products).execute();
		await tx.deleteFrom('spread').where('product_id', 'in', products).execute();
		await tx.deleteFrom('product').where('id', 'in', products).execute();
		await tx.deleteFrom('run').where('demo', '=', 1).execute();
		// the same picture may stand in a run of one's own, and is not read twice
		const kept = tx.selectFrom('photo').select('analysis_key').where('analysis_key', 'is not', null);
		for (const { key } of read)
			await tx.deleteFrom('analysis').where('key', '=', key).where('key', 'not in', kept).execute();
		// a run of one's own may have been made from the demonstration lot; then the lot stays
		await tx
			.deleteFrom('lot')
			.where('demo', '=', 1)
			.where('id', 'not in', tx.selectFrom('run').select('lot_id'))
			.execute();
	});
}
