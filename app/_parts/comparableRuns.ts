import { namedApart } from '@/lib/balance/compareNames';
import type { ComparableRun } from '@/lib/balance/compareRuns';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { drawBoard } from '@/lib/store/drawnRun';
import { labelsOf, type RunBoard } from '@/lib/store/workedRun';

/** Runs on record with their draws, ready to be compared; two of one name are told apart by a number. */
export async function comparableRuns(
  store: Store,
  pool: AnalysisPool,
  boards: readonly RunBoard[],
): Promise<readonly ComparableRun[]> {
  const names = namedApart(boards.map(({ run }) => run.name));
  return Promise.all(
    boards.map(async (board, r) => {
      const name = names[r]!;
      const { account, draws } = await drawBoard(store, pool, board, name);
      const labels = labelsOf(board.products);
      const spreads = Object.fromEntries(
        board.products.map((product) => [
          labels.get(product.id) ?? product.id,
          product.spreads.filter(({ photos }) => photos.some(({ analysis }) => analysis !== undefined)).length,
        ]),
      );
      const { firstAfterChange = false } = board.run.settings;
      return { name, account, draws, spreads, firstAfterChange, lot: board.run.lotName, material: board.run.material };
    }),
  );
}
