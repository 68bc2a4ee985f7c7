import 'server-only';
import { createHash } from 'node:crypto';
import { namedApart } from '../balance/compareNames';
import type { PriceSheet } from '../value/priceSheet';
import type { RunValue } from '../value/runValue';
import type { ComparedRuns, RunFlows } from './analysis';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { keptOr } from './keptResult';
import { keyOfRead, labelsOf, orderOf, type RunBoard } from './workedRun';

/** What a run is worth at these prices: kept while neither changes, otherwise worked out now beside the thread that answers. */
export async function valueBoard(
  store: Store,
  pool: AnalysisPool,
  board: RunBoard,
  sheet: PriceSheet,
): Promise<RunValue> {
  const key = await keyOfRead(store, ['value', sheet], board);
  return keptOr(store, key, async () => pool.valueRun(await orderOf(store, board), sheet));
}

/** A run's flows from feed to bins, kept likewise. */
export async function flowsOfBoard(store: Store, pool: AnalysisPool, board: RunBoard): Promise<RunFlows> {
  const key = await keyOfRead(store, 'flows', board);
  return keptOr(store, key, async () => pool.flowsOf(await orderOf(store, board)));
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
  const names = namedApart(boards.map(({ run }) => run.name));
  const abouts = boards.map((board, r) => ({ ...aboutOf(board), name: names[r]! }));
  const keys = await Promise.all(boards.map((board) => keyOfRead(store, 'compared', board)));
  const key = createHash('sha256')
    .update(JSON.stringify([keys, abouts, sheet]))
    .digest('hex');
  return keptOr(store, key, async () => {
    const orders = await Promise.all(boards.map((board) => orderOf(store, board)));
    // the name seeds a run's own errors: two runs of one name share none
    const runs = orders.map((order, r) => ({ order: { ...order, runName: names[r]! }, about: abouts[r]! }));
    return pool.compareRuns(runs, sheet);
  });
}

/** What a comparison says of a run besides its figures. */
function aboutOf({ run, products }: RunBoard) {
  const labels = labelsOf(products);
  const spreads = Object.fromEntries(
    products.map((product) => [
      labels.get(product.id) ?? product.id,
      product.spreads.filter(({ photos }) => photos.some(({ analysis }) => analysis !== undefined)).length,
    ]),
  );
  const { firstAfterChange = false } = run.settings;
  return { spreads, firstAfterChange, lot: run.lotName, material: run.material };
}
