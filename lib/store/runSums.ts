import 'server-only';
import { namedApart } from '../balance/compareNames';
import type { ExplainedRun } from '../balance/explainRun';
import { leftOutSentence, readEarlierSentence } from '../report/progressSentences';
import type { PriceSheet } from '../value/priceSheet';
import type { RunValue } from '../value/runValue';
import type { ComparedRuns, RunFlows } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { keptOr } from './keptResult';
import { keyOfRead } from './runOrigin';
import { labelsOf } from './runProducts';
import { sha256Of } from './sha256Of';
import { type AtOnce, type SumTask, sumAtOnce } from './sumsAtOnce';
import { orderOf, photosReadEarlier, type RunBoard, unreadPhotosOf, workOutBoard } from './workedRun';

/** What a run is worth at these prices: kept while neither changes, otherwise worked out now beside the thread that answers. */
export async function valueBoard(
	store: Store,
	pool: AnalysisPool,
	board: RunBoard,
	sheet: PriceSheet,
): Promise<RunValue> {
	const { key, workOut } = await valueTask(store, pool, board, sheet);
	return keptOr(store, key, workOut);
}

/** The same for a page that waits for nothing. */
export async function valueAtOnce(
	store: Store,
	pool: AnalysisPool,
	board: RunBoard,
	sheet: PriceSheet,
): Promise<AtOnce<RunValue>> {
	return sumAtOnce(store, `value of ${board.run.id}`, await valueTask(store, pool, board, sheet));
}

async function valueTask(store: Store, pool: AnalysisPool, board: RunBoard, sheet: PriceSheet) {
	const key = await keyOfRead(store, ['value', sheet], board);
	return { key, workOut: async () => pool.valueRun(await orderOf(store, board), sheet) };
}

/** A run's flows from feed to bins, likewise. */
export async function flowsAtOnce(store: Store, pool: AnalysisPool, board: RunBoard): Promise<AtOnce<RunFlows>> {
	const key = await keyOfRead(store, 'flows', board);
	const workOut = async () => pool.flowsOf(await orderOf(store, board));
	return sumAtOnce(store, `flows of ${board.run.id}`, { key, workOut });
}

/**
 * What every range of a run is made of, likewise. It starts from the figures of `workOutBoard`, so that a product reads the same on every page.
 * It takes some seconds, so it is not begun while photos of the run wait, each of which would have it begun anew.
 */
export async function explainAtOnce(store: Store, pool: AnalysisPool, board: RunBoard): Promise<AtOnce<ExplainedRun>> {
	const key = await keyOfRead(store, 'explain', board);
	const workOut = async () => {
		const { grades, account } = await workOutBoard(store, pool, board);
		return pool.explainRun(await orderOf(store, board), { grades, account });
	};
	const isSettled = board.products.every((product) => unreadPhotosOf(product).waiting === 0);
	return sumAtOnce(store, `explanation of ${board.run.id}`, { key, workOut }, isSettled);
}

/**
 * Runs set against the first one, kept likewise; two of one name are told apart by a number.
 *
 * @param sheet - prices, where some are entered
 * @throws TrayError `usage` when the sheet mixes currencies
 */
export async function compareBoards(
	store: Store,
	pool: AnalysisPool,
	boards: readonly RunBoard[],
	sheet: PriceSheet | undefined,
): Promise<ComparedRuns> {
	const { key, workOut } = await comparisonTask(store, pool, boards, sheet);
	return keptOr(store, key, workOut);
}

/** The same for a page that waits for nothing. */
export async function compareAtOnce(
	store: Store,
	pool: AnalysisPool,
	boards: readonly RunBoard[],
	sheet: PriceSheet | undefined,
): Promise<AtOnce<ComparedRuns>> {
	const kind = `comparison of ${boards.map(({ run }) => run.id).join(' ')}`;
	return sumAtOnce(store, kind, await comparisonTask(store, pool, boards, sheet));
}

async function comparisonTask(
	store: Store,
	pool: AnalysisPool,
	boards: readonly RunBoard[],
	sheet: PriceSheet | undefined,
): Promise<SumTask<ComparedRuns>> {
	const names = namedApart(boards.map(({ run }) => run.name));
	const abouts = boards.map((board, r) => ({ ...aboutOf(board), name: names[r]! }));
	const keys = await Promise.all(boards.map((board) => keyOfRead(store, 'compared', board)));
	const key = sha256Of(JSON.stringify([keys, abouts, sheet]));
	const workOut = async () => {
		const orders = await Promise.all(boards.map((board) => orderOf(store, board)));
		// the name seeds a run's own errors: two runs of one name share none
		const runs = orders.map((order, r) => ({ order: { ...order, runName: names[r]! }, about: abouts[r]! }));
		return pool.compareRuns(runs, sheet);
	};
	return { key, workOut };
}

/** What a comparison says of a run besides its figures. */
function aboutOf(board: RunBoard) {
	const { run, products } = board;
	const labels = labelsOf(products);
	const spreads = Object.fromEntries(
		products.map((product) => [
			labels.get(product.id) ?? product.id,
			product.spreads.filter(({ photos }) => photos.some(({ analysis }) => analysis !== undefined)).length,
		]),
	);
	const { firstAfterChange = false } = run.settings;
	const leftOut = leftOutSentence(unreadPhotosOf({ spreads: products.flatMap((product) => product.spreads) }));
	const readEarlier = photosReadEarlier(board);
	const ofPhotos = [
		...(leftOut === undefined ? [] : [leftOut]),
		...(readEarlier === 0 ? [] : [readEarlierSentence(readEarlier)]),
	];
	return { spreads, firstAfterChange, lot: run.lotName, lotMark: run.lotId, material: run.material, ofPhotos };
}
