import { idOf } from '@/app/_forms/idOf';
import { type RerunSource, readRerunForm } from '@/app/_forms/rerunForm';
import { drawSplit } from '@/lib/balance/rerunAssumed';
import { type RerunSplit, splitOfRun } from '@/lib/balance/rerunCircuit';
import { TrayError } from '@/lib/errors/TrayError';
import { rerunCannotSentence } from '@/lib/report/rerunSentences';
import type { DrawnRun } from '@/lib/store/analysis';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import type { Store } from '@/lib/store/database';
import { drawBoard } from '@/lib/store/drawnRun';
import { keptOr } from '@/lib/store/keptResult';
import { latestPrices } from '@/lib/store/prices';
import { keyOfRead } from '@/lib/store/runOrigin';
import { type AtOnce, type SumTask, sumAtOnce } from '@/lib/store/sumsAtOnce';
import { theStore } from '@/lib/store/theStore';
import { getBoard, type RunBoard, workOutBoard } from '@/lib/store/workedRun';
import { type RerunAccount, rerunAccountOf } from '@/lib/value/rerunAccount';

/** What rerunning a run's middlings comes to, or why that can't be worked out. */
export type RerunAnswer = { readonly account: RerunAccount } | { readonly cannot: string };

/** What is asked of a run. */
interface RerunQuestion {
	readonly source: RerunSource;
	readonly batchKg?: number | undefined;
}

/**
 * What rerunning a run's middlings comes to, for a page that waits for nothing.
 *
 * @throws TrayError `not-found` when the split is taken from a run that isn't there, or `usage` when an assumed split can't be
 */
export async function rerunAtOnce(
	store: Store,
	pool: AnalysisPool,
	board: RunBoard,
	{ source, batchKg }: RerunQuestion,
): Promise<AtOnce<RerunAnswer>> {
	const task = await rerunTask(store, pool, board, { source, batchKg });
	return sumAtOnce(store, `rerun of ${board.run.id} ${JSON.stringify([source, batchKg])}`, task);
}

/**
 * The same as an address asks for it, with all that a file of it says beside; it waits for the true figures.
 *
 * @throws TrayError `not-found` when the run isn't there, `usage` with what is missing or can't be
 */
export async function askedRerun(runId: string, asked: URLSearchParams) {
	const { store, pool } = await theStore();
	const board = await getBoard(store, idOf(runId));
	const { fields, ...question } = readRerunForm(Object.fromEntries(asked));
	const problem = fields.problems[0];
	if (problem !== undefined) throw new TrayError('usage', problem.message, 'Mend the address, or use the page.');
	const { key, workOut } = await rerunTask(store, pool, board, question);
	const answer = await keptOr(store, key, workOut);
	if ('cannot' in answer) throw new TrayError('usage', answer.cannot, 'Weigh and photograph what is missing.');
	const warnings = warningsOfFile(board, await workOutBoard(store, pool, board));
	return { run: board.run.name, account: answer.account, warnings };
}

async function rerunTask(
	store: Store,
	pool: AnalysisPool,
	board: RunBoard,
	{ source, batchKg }: RerunQuestion,
): Promise<SumTask<RerunAnswer>> {
	const other = source.kind === 'measured' ? await getBoard(store, source.runId) : undefined;
	const sheet = (await latestPrices(store))?.sheet;
	const otherKey = other && (await keyOfRead(store, 'rerun', other));
	const key = await keyOfRead(store, ['rerun', source, batchKg, sheet, otherKey], board);
	const workOut = async (): Promise<RerunAnswer> => {
		const drawn = await drawBoard(store, pool, board);
		const split = splitFrom(source, drawn, other && (await drawBoard(store, pool, other)));
		const account = split && rerunAccountOf(drawn, split, { sheet, batchKg });
		return account === undefined ? { cannot: rerunCannotSentence(drawn.account, split !== undefined) } : { account };
	};
	return { key, workOut };
}

/** How a rerun splits: as this run did, as another one did, or as assumed; undefined where that run is not weighed and graded far enough. */
function splitFrom(source: RerunSource, drawn: DrawnRun, other: DrawnRun | undefined): RerunSplit | undefined {
	if (source.kind === 'assumed') return drawSplit(source.split, drawn.account.drawCount, drawn.account.seed);
	return splitOfRun(other ?? drawn);
}
