import 'server-only';
import type { WeighedPlace } from '../balance/measuredMass';
import { type PlacedPhoto, samePictures } from '../particles/samePicture';
import { READ_EARLIER } from '../photo/earlierReading';
import type { UnreadPhotos } from '../report/progressSentences';
import { getAnalyses, type KeptAnalysis } from './analyses';
import type { AccountOrder, PhotoAnalysis, WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { KeptCheck } from './checks';
import type { Store } from './database';
import { ENGINE_VERSION } from './engineVersion';
import { keptOr } from './keptResult';
import { keepLatest } from './latestFigures';
import { lessonsFor, lessonWords } from './lessons';
import { getMaterial } from './materials';
import type { Photo } from './photos';
import { listProducts, type Product } from './products';
import { originOf } from './runOrigin';
import { keyOf, labelsOf, ofEach, productsFor, withSpreads } from './runProducts';
import { getRun, type RunLine } from './runs';
import { listSpreadsOf, type Spread } from './spreads';

/** A photo with what it says, when it was read. */
export type ReadPhoto = Photo & { readonly analysis?: KeptAnalysis };

/** A product with its spreads and photos. */
export interface ProductOnBoard extends Product {
	readonly spreads: readonly (Omit<Spread, 'photos'> & { readonly photos: readonly ReadPhoto[] })[];
	readonly checks: readonly KeptCheck[];
}

/** Everything on record for one run. */
export interface RunBoard {
	readonly run: RunLine;
	readonly products: readonly ProductOnBoard[];
}

/**
 * Everything on record for one run: its products, weights, photos and what each photo says.
 *
 * @throws TrayError `not-found`
 */
export async function getBoard(store: Store, runId: string): Promise<RunBoard> {
	const run = await getRun(store, runId);
	const products = await listProducts(store, runId);
	const ids = products.map(({ id }) => id);
	const spreads = ofEach(await listSpreadsOf(store, ids), ({ productId }) => productId);
	const board = { run, products: await withSpreads(store, products, spreads) };
	return withReadings(store, board);
}

/** A board with what its photos say. */
export async function withReadings(store: Store, { run, products }: RunBoard): Promise<RunBoard> {
	const analyses = await getAnalyses(store, keysOf(products));
	const same = samePictures(countedPhotos(products, analyses));
	const read = (photo: Photo): ReadPhoto => {
		const analysis = photo.state.kind === 'graded' ? analyses.get(photo.state.analysisKey) : undefined;
		const twice = same.get(photo.id);
		if (analysis === undefined) return photo;
		const more = [
			...(twice === undefined ? [] : [twice]),
			...(analysis.engine === ENGINE_VERSION ? [] : [READ_EARLIER]),
		];
		return {
			...photo,
			analysis: more.length === 0 ? analysis : { ...analysis, warnings: [...analysis.warnings, ...more] },
		};
	};
	return {
		run,
		products: products.map((product) => ({
			...product,
			spreads: product.spreads.map((spread) => ({ ...spread, photos: spread.photos.map(read) })),
		})),
	};
}

/** How many photos of a run an earlier version of the program has read. */
export function photosReadEarlier({ products }: RunBoard): number {
	const photos = products.flatMap(({ spreads }) => spreads.flatMap((spread) => spread.photos));
	return photos.filter(({ analysis }) => analysis?.warnings.some(({ code }) => code === READ_EARLIER.code)).length;
}

function countedPhotos(
	products: readonly ProductOnBoard[],
	analyses: ReadonlyMap<string, PhotoAnalysis>,
): PlacedPhoto[] {
	const labels = labelsOf(products);
	return products.flatMap(({ id: product, spreads }) =>
		spreads.flatMap(({ number: spread, photos }) =>
			photos.flatMap(({ id, sha256, state }) =>
				keyOf({ state }).map((key) => {
					return { id, sha256, bin: labels.get(product) ?? product, spread, reading: analyses.get(key)?.reading };
				}),
			),
		),
	);
}

function keysOf(products: readonly ProductOnBoard[]): readonly string[] {
	return products.flatMap(({ spreads }) => spreads.flatMap(({ photos }) => photos.flatMap(keyOf)));
}

/** Grades and balance of a run: kept ones when nothing changed since, otherwise worked out now. */
export async function workOutBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<WorkedRun> {
	const origin = await originOf(store, board);
	const also = () => keepLatest(store, board.run.id, origin);
	const worked = await keptOr(store, origin.key, async () => pool.workOutRun(await orderOf(store, board)), { also });
	return inWords(store, board.run, worked);
}

/**
 * What a run came to, with the words of now in the place of the ids that it names checks of other runs by: those may be called something else since,
 * and it is not worked out again for that.
 */
export async function inWords(store: Store, run: RunLine, worked: WorkedRun): Promise<WorkedRun> {
	const { piles, idle, partial, points, ...sorting } = worked.sorting;
	if (piles.length + idle.length + partial.length + points.length === 0) return worked;
	const words = await lessonWords(store, run);
	const told = <Told extends { readonly label: string }>(all: readonly Told[]) =>
		all.map((one) => ({ ...one, label: words.get(one.label) ?? one.label }));
	const named = { piles: told(piles), idle: told(idle), partial: told(partial), points: told(points) };
	return { ...worked, sorting: { ...sorting, ...named } };
}

/** A run on record as the balance takes it. */
export async function orderOf(store: Store, { run, products }: RunBoard): Promise<AccountOrder> {
	return {
		runName: run.name,
		feed: run.feed,
		material: await getMaterial(store, run.material),
		lessons: (await lessonsFor(store, run)).map(({ photo: _, id, ...lesson }) => ({ ...lesson, label: id })),
		products: productsFor(products, ({ analysis }) => (analysis === undefined ? [] : [analysis.reading])),
	};
}

/** True where a photo of the product has told a grade. */
export function isRead({ spreads }: ProductOnBoard): boolean {
	return spreads.some(isSpreadRead);
}

/** Whether a photo of a spread counts. */
export function isSpreadRead({ photos }: ProductOnBoard['spreads'][number]): boolean {
	return photos.some(({ analysis }) => analysis !== undefined);
}

/** What the first photo of a spread that counts reads of copper by itself. */
export function copperSeenOn(spread: ProductOnBoard['spreads'][number] | undefined) {
	return spread?.photos.find(({ analysis }) => analysis !== undefined)?.analysis?.massFraction.copper;
}

/** How photos of some spreads stand, counted. */
export function unreadPhotosOf({ spreads }: Pick<ProductOnBoard, 'spreads'>): UnreadPhotos {
	const states = spreads.flatMap(({ photos }) => photos.map(({ state }) => state));
	const count = (is: (state: Photo['state']) => boolean) => states.filter(is).length;
	return {
		waiting: count(({ kind }) => kind === 'queued' || kind === 'reading'),
		stopped: count((state) => state.kind === 'held' && state.why === 'stopped'),
		refused: count(({ kind }) => kind === 'refused'),
		read: count(({ kind }) => kind === 'graded'),
	};
}

/** Where a product was weighed, as the run's account has it. */
export function weighedPlaceOf({ name, feed }: RunLine, products: readonly Product[], productId: string): WeighedPlace {
	return { runId: name, key: `product:${labelsOf(products).get(productId) ?? productId}`, scales: feed.scales };
}
