import 'server-only';
import { createHash } from 'node:crypto';
import type { WeighedPlace } from '../balance/measuredMass';
import { type PlacedPhoto, samePictures } from '../photo/samePicture';
import type { UnreadPhotos } from '../report/sentences';
import { analysesThere, getAnalyses } from './analyses';
import type { AccountOrder, PhotoAnalysis, WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import { checksWithPlaces, type KeptCheck, listChecks } from './checks';
import type { Store } from './database';
import { ACCOUNT_ENGINE_VERSION } from './engineVersion';
import { keptOr, keptUnder } from './keptResult';
import { keepLatest } from './latestFigures';
import { lessonsFor } from './lessons';
import { getMaterial } from './materials';
import { listSpreadsOf, type Photo, type Spread } from './photos';
import { listProductsOf, type Product } from './products';
import { getRun, type RunLine } from './runs';
import type { FiguresOrigin } from './runsAtWork';

/** A photo with what it says, when it was read. */
export type ReadPhoto = Photo & { readonly analysis?: PhotoAnalysis & { readonly tookMs: number } };

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
	const [bare] = await bareBoards(store, [await getRun(store, runId)]);
	return withReadings(store, bare!);
}

/** The same of some runs, in their order, without what the photos say, which is most of it. */
async function bareBoards(store: Store, runs: readonly RunLine[]): Promise<readonly RunBoard[]> {
	const products = await listProductsOf(
		store,
		runs.map(({ id }) => id),
	);
	const ids = products.map(({ id }) => id);
	const spreads = ofEach(await listSpreadsOf(store, ids), ({ productId }) => productId);
	const checks = ofEach(await listChecks(store, ids), ({ productId }) => productId);
	const ofRun = ofEach(products, ({ runId }) => runId);
	return runs.map((run) => ({
		run,
		products: (ofRun.get(run.id) ?? []).map((product) => ({
			...product,
			spreads: spreads.get(product.id) ?? [],
			checks: checks.get(product.id) ?? [],
		})),
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
	const same = samePictures(countedPhotos(products));
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

function countedPhotos(products: readonly ProductOnBoard[]): readonly PlacedPhoto[] {
	const labels = labelsOf(products);
	return products.flatMap(({ id, spreads }) =>
		spreads.flatMap(({ number, photos }) =>
			photos
				.filter(({ state }) => state.kind === 'graded')
				.map((photo) => ({ id: photo.id, sha256: photo.sha256, bin: labels.get(id) ?? id, spread: number })),
		),
	);
}

function keysOf(products: readonly ProductOnBoard[]): readonly string[] {
	return products.flatMap(({ spreads }) => spreads.flatMap(({ photos }) => photos.flatMap(keyOf)));
}

function keyOf({ state }: Photo): readonly string[] {
	return state.kind === 'graded' ? [state.analysisKey] : [];
}

/** Grades and balance of a run: kept ones when nothing changed since, otherwise worked out now. */
export async function workOutBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<WorkedRun> {
	const origin = await originOf(store, board);
	const also = () => keepLatest(store, board.run.id, origin);
	return keptOr(store, origin.key, async () => pool.workOutRun(await orderOf(store, board)), { also });
}

/** What the figures of a run rest on as it stands. */
export async function originOf(store: Store, board: RunBoard): Promise<FiguresOrigin> {
	return originBy(store, board, readKeyOf);
}

/** @param keysOfPhoto - the key of a photo's reading, where it is on record */
async function originBy(
	store: Store,
	board: RunBoard,
	keysOfPhoto: (photo: ReadPhoto) => readonly string[],
): Promise<FiguresOrigin> {
	return {
		key: await keyOfBoard(store, 'run', board, keysOfPhoto),
		readings: board.products.flatMap(({ spreads }) => spreads.flatMap(({ photos }) => photos.flatMap(keysOfPhoto))),
		labels: Object.fromEntries(labelsOf(board.products)),
	};
}

/**
 * Grades and balance of a run on record. Where nothing changed since, what its photos say is not even fetched.
 *
 * @throws TrayError `not-found`
 */
export async function workOutStored(store: Store, pool: AnalysisPool, runId: string): Promise<WorkedRun> {
	const [worked] = await workOutRuns(store, pool, [await getRun(store, runId)]);
	return worked!;
}

/** The same of some runs, in their order; they are looked up together, and what is not kept is worked out one after the other. */
export async function workOutRuns(
	store: Store,
	pool: AnalysisPool,
	runs: readonly RunLine[],
): Promise<readonly WorkedRun[]> {
	const all = [];
	for (const { board, worked } of await keptRuns(store, runs))
		all.push(worked ?? (await workOutBoard(store, pool, await withReadings(store, board))));
	return all;
}

/** A run as it stands, without what its photos say, and its figures where they are on record. */
export interface KeptRun {
	readonly board: RunBoard;
	readonly origin: FiguresOrigin;
	readonly worked: WorkedRun | undefined;
}

/** Some runs with their figures, as far as they are on record, in their order; they are looked up together. */
export async function keptRuns(store: Store, runs: readonly RunLine[]): Promise<readonly KeptRun[]> {
	const boards = await bareBoards(store, runs);
	const there = await analysesThere(
		store,
		boards.flatMap(({ products }) => keysOf(products)),
	);
	const stated = [];
	for (const board of boards) {
		const origin = await originBy(store, board, (photo) => keyOf(photo).filter((one) => there.has(one)));
		stated.push({ board, origin });
	}
	const kept = await keptUnder<WorkedRun>(
		store,
		stated.map(({ origin }) => origin.key),
	);
	return stated.map(({ board, origin }) => ({ board, origin, worked: kept.get(origin.key) }));
}

/** Of a photo whose reading is at hand. */
function readKeyOf(photo: ReadPhoto): readonly string[] {
	return photo.analysis === undefined ? [] : keyOf(photo);
}

/** The same of a board with its readings, for any result that rests on the run and on `asked`. */
export async function keyOfRead(store: Store, asked: unknown, board: RunBoard): Promise<string> {
	return keyOfBoard(store, asked, board, readKeyOf);
}

/** What a result rests on, in one hash: a reading never changes under its key, so the key stands for it. */
async function keyOfBoard(
	store: Store,
	asked: unknown,
	board: RunBoard,
	keysOfPhoto: (photo: ReadPhoto) => readonly string[],
): Promise<string> {
	const inputs = await inputsOf(store, board, keysOfPhoto);
	return createHash('sha256')
		.update(JSON.stringify([asked, inputs, ACCOUNT_ENGINE_VERSION]))
		.digest('hex');
}

/** A run on record as the balance takes it. */
export async function orderOf(store: Store, board: RunBoard): Promise<AccountOrder> {
	return inputsOf(store, board, ({ analysis }) => (analysis === undefined ? [] : [analysis.reading]));
}

/** @param readingsOf - what stands for the reading of a photo; none where it was not read */
async function inputsOf<Reading>(
	store: Store,
	{ run, products }: RunBoard,
	readingsOf: (photo: ReadPhoto) => readonly Reading[],
) {
	const labels = labelsOf(products);
	return {
		runName: run.name,
		feed: run.feed,
		material: await getMaterial(store, run.material),
		lessons: (await lessonsFor(store, run)).map(({ photo: _, ...lesson }) => lesson),
		products: products.map(({ id, name, role, weighing, spreads, checks }) => {
			const read = spreads
				.map(({ id: spreadId, photos }) => ({
					spreadId,
					readings: photos.flatMap(readingsOf),
				}))
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
		}),
	};
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
