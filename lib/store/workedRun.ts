import 'server-only';
import type { WeighedPlace } from '../balance/measuredMass';
import { type PlacedPhoto, samePictures } from '../particles/samePicture';
import type { UnreadPhotos } from '../report/sentences';
import { getAnalyses } from './analyses';
import type { AccountOrder, PhotoAnalysis, WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import { checksWithPlaces, type KeptCheck, listChecks } from './checks';
import type { Store } from './database';
import { ACCOUNT_ENGINE_VERSION } from './engineVersion';
import { keptOr } from './keptResult';
import { keepLatest } from './latestFigures';
import { lessonsFor } from './lessons';
import { getMaterial } from './materials';
import { listReadSpreads, listSpreadsOf, type Photo, type Spread } from './photos';
import { listProducts, listProductsOf, type Product } from './products';
import { getRun, type RunLine } from './runs';
import type { FiguresOrigin } from './runsAtWork';
import { hashOf, SharedInputs } from './sharedInputs';

/** A photo with what it says, when it was read. */
export type ReadPhoto = Photo & { readonly analysis?: PhotoAnalysis & { readonly tookMs: number } };

/** A product with its spreads and photos. */
export interface ProductOnBoard extends Product {
	readonly spreads: readonly (Omit<Spread, 'photos'> & { readonly photos: readonly ReadPhoto[] })[];
	readonly checks: readonly KeptCheck[];
}

/** A product with as much of its photos as is asked for. */
interface ProductWith<Shown> extends Product {
	readonly spreads: readonly { readonly id: string; readonly photos: readonly Shown[] }[];
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

/** Products with their checks, and with their spreads as given, by product. */
async function withSpreads<Line>(
	store: Store,
	products: readonly Product[],
	spreads: ReadonlyMap<string, readonly Line[]>,
) {
	const listed = await listChecks(
		store,
		products.map(({ id }) => id),
	);
	const checks = ofEach(listed, ({ productId }) => productId);
	return products.map((product) => ({
		...product,
		spreads: spreads.get(product.id) ?? [],
		checks: checks.get(product.id) ?? [],
	}));
}

/** Lines by what they belong to, each in the order they came. */
function ofEach<Line>(lines: readonly Line[], ownerOf: (line: Line) => string): ReadonlyMap<string, readonly Line[]> {
	const owned = new Map<string, Line[]>();
	for (const line of lines) {
		const own = owned.get(ownerOf(line));
		if (own === undefined) owned.set(ownerOf(line), [line]);
		else own.push(line);
	}
	return owned;
}

/** A board with what its photos say. */
export async function withReadings(store: Store, { run, products }: RunBoard): Promise<RunBoard> {
	const analyses = await getAnalyses(store, keysOf(products));
	const same = samePictures(countedPhotos(products, analyses));
	const read = (photo: Photo): ReadPhoto => {
		const analysis = photo.state.kind === 'graded' ? analyses.get(photo.state.analysisKey) : undefined;
		const twice = same.get(photo.id);
		if (analysis === undefined) return photo;
		return {
			...photo,
			analysis: twice === undefined ? analysis : { ...analysis, warnings: [...analysis.warnings, twice] },
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

function keyOf({ state }: Pick<Photo, 'state'>): readonly string[] {
	return state.kind === 'graded' ? [state.analysisKey] : [];
}

/** Grades and balance of a run: kept ones when nothing changed since, otherwise worked out now. */
export async function workOutBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<WorkedRun> {
	const origin = await originOf(store, board);
	const also = () => keepLatest(store, board.run.id, origin);
	return keptOr(store, origin.key, async () => pool.workOutRun(await orderOf(store, board)), { also });
}

/** What the figures of a run rest on as it stands. */
export async function originOf(store: Store, { run, products }: RunBoard): Promise<FiguresOrigin> {
	return originBy(new SharedInputs(store), run, products, readKeyOf);
}

/** @param keysOfPhoto - the key of a photo's reading, where it is on record */
async function originBy<Shown>(
	shared: SharedInputs,
	run: RunLine,
	products: readonly ProductWith<Shown>[],
	keysOfPhoto: (photo: Shown) => readonly string[],
): Promise<FiguresOrigin> {
	return {
		key: await keyBy(shared, 'run', run, products, keysOfPhoto),
		readings: products.flatMap(({ spreads }) => spreads.flatMap(({ photos }) => photos.flatMap(keysOfPhoto))),
		labels: Object.fromEntries(labelsOf(products)),
	};
}

/** Runs looked up in one go, some 50 ms: others are answered in between. Chosen by eye. */
export const RUNS_AT_ONCE = 50;

/** A run in a list, with what its figures rest on as it stands. */
export interface StatedRun {
	readonly run: RunLine;
	readonly origin: FiguresOrigin;
}

/** Some runs in their order, with what their figures rest on; what their photos say, which is most of a run, is not fetched. */
export async function statedRuns(
	store: Store,
	runs: readonly RunLine[],
	shared = new SharedInputs(store),
): Promise<readonly StatedRun[]> {
	const stated: StatedRun[] = [];
	for (let at = 0; at < runs.length; at += RUNS_AT_ONCE) {
		const some = runs.slice(at, at + RUNS_AT_ONCE);
		const products = await listProductsOf(
			store,
			some.map(({ id }) => id),
		);
		const ids = products.map(({ id }) => id);
		const spreads = ofEach(await listReadSpreads(store, ids), ({ productId }) => productId);
		const ofRun = ofEach(await withSpreads(store, products, spreads), ({ runId }) => runId);
		for (const run of some) {
			const origin = await originBy(shared, run, ofRun.get(run.id) ?? [], (key: string) => [key]);
			stated.push({ run, origin });
		}
		await new Promise(setImmediate);
	}
	return stated;
}

/** Of a photo whose reading is at hand. */
function readKeyOf(photo: ReadPhoto): readonly string[] {
	return photo.analysis === undefined ? [] : keyOf(photo);
}

/** The same of a board with its readings, for any result that rests on the run and on `asked`. */
export async function keyOfRead(store: Store, asked: unknown, board: RunBoard): Promise<string> {
	return keyBy(new SharedInputs(store), asked, board.run, board.products, readKeyOf);
}

/** What a result rests on, in one hash: a reading never changes under its key, so the key stands for it. */
async function keyBy<Shown>(
	shared: SharedInputs,
	asked: unknown,
	run: RunLine,
	products: readonly ProductWith<Shown>[],
	keysOfPhoto: (photo: Shown) => readonly string[],
): Promise<string> {
	const { material, taught } = await shared.of(run);
	const told = [run.name, run.feed, material].map((one) => JSON.stringify(one));
	const text = [...told, taught(run.id), JSON.stringify(productsFor(products, keysOfPhoto))].join();
	return hashOf(`[${JSON.stringify(asked)},[${text}],${JSON.stringify(ACCOUNT_ENGINE_VERSION)}]`);
}

/** A run on record as the balance takes it. */
export async function orderOf(store: Store, { run, products }: RunBoard): Promise<AccountOrder> {
	return {
		runName: run.name,
		feed: run.feed,
		material: await getMaterial(store, run.material),
		lessons: (await lessonsFor(store, run)).map(({ photo: _, ...lesson }) => lesson),
		products: productsFor(products, ({ analysis }) => (analysis === undefined ? [] : [analysis.reading])),
	};
}

/** @param readingsOf - what stands for the reading of a photo; none where it was not read */
function productsFor<Shown, Reading>(
	products: readonly ProductWith<Shown>[],
	readingsOf: (photo: Shown) => readonly Reading[],
) {
	const labels = labelsOf(products);
	return products.map(({ id, name, role, weighing, spreads, checks }) => {
		const read = spreads
			.map(({ id: spreadId, photos }) => ({ spreadId, readings: photos.flatMap(readingsOf) }))
			.filter(({ readings }) => readings.length > 0);
		return {
			label: labels.get(id) ?? id,
			name,
			role,
			weighing: weighing ?? null,
			spreads: read.map(({ readings }) => readings),
			checks: checksWithPlaces(
				checks,
				read.map(({ spreadId }) => spreadId),
			),
		};
	});
}

/** True where a photo of the product has told a grade. */
export function isRead({ spreads }: ProductOnBoard): boolean {
	return spreads.some(({ photos }) => photos.some(({ analysis }) => analysis !== undefined));
}

/** How a product's photos stand, counted. */
export function unreadPhotosOf({ spreads }: ProductOnBoard): UnreadPhotos {
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

/** Longest name that a run file takes. */
const LONGEST_LABEL = 80;

/** What a run's products are called in its account and its file: their names, a number added where one is taken. By product id. */
export function labelsOf(products: readonly Product[]): ReadonlyMap<string, string> {
	const names = new Set(products.map(({ name }) => name.toLowerCase()));
	const taken = new Set<string>();
	return new Map(
		products.map(({ id, name }) => {
			let label = name;
			for (let next = 2; taken.has(label.toLowerCase()); next++) {
				const numbered = withNumber(name, next);
				// nor is it another product's own name
				if (!names.has(numbered.toLowerCase())) label = numbered;
			}
			taken.add(label.toLowerCase());
			return [id, label];
		}),
	);
}

function withNumber(name: string, number: number): string {
	const end = ` (${number})`;
	return `${name.slice(0, LONGEST_LABEL - end.length)}${end}`;
}
