import { idOf } from '@/app/_forms/idOf';
import { TrayError } from '@/lib/errors/TrayError';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { latestPrices } from '@/lib/store/prices';
import { compareBoards } from '@/lib/store/runSums';
import { getBoard } from '@/lib/store/workedRun';

/** More runs than these are not set side by side. */
export const MOST_RUNS = 6;

/**
 * The runs that an address asks to be compared, set against the first of them with the prices last entered.
 *
 * @throws TrayError `usage` for fewer than two runs or too many, `not-found` when one isn't there
 */
export async function askedComparison(store: Store, pool: AnalysisPool, asked: URLSearchParams) {
	const ids = [...new Set(asked.getAll('run').map(idOf))];
	if (ids.length < 2) throw new TrayError('usage', 'Two runs are needed.', 'Pick two runs to compare.');
	if (ids.length > MOST_RUNS) throw new TrayError('usage', tooManyRuns(ids.length), 'Pick them anew.');
	const boards = await Promise.all(ids.map((id) => getBoard(store, id)));
	const sheet = (await latestPrices(store))?.sheet;
	return { boards, sheet, ...(await compareBoards(store, pool, boards, sheet)) };
}

/** `At most 6 runs stand side by side, and 8 were picked.` */
export function tooManyRuns(count: number): string {
	return `At most ${MOST_RUNS} runs stand side by side, and ${count} were picked.`;
}
