import 'server-only';
import type { Store } from './database';
import { ACCOUNT_ENGINE_VERSION } from './engineVersion';
import { listProductsOf } from './products';
import { keyOf, labelsOf, ofEach, type ProductWith, productsFor, withSpreads } from './runProducts';
import type { RunLine } from './runs';
import type { FiguresOrigin } from './runsAtWork';
import { sha256Of } from './sha256Of';
import { SharedInputs } from './sharedInputs';
import { listReadSpreads } from './spreads';
import type { ReadPhoto, RunBoard } from './workedRun';

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
	return sha256Of(`[${JSON.stringify(asked)},[${text}],${JSON.stringify(ACCOUNT_ENGINE_VERSION)}]`);
}
