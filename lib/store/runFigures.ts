import 'server-only';
import type { FiguresBefore } from '../report/progressSentences';
import type { WorkedRun } from './analysis';
import type { AnalysisPool } from './analysisPool';
import { workBehindPages } from './behindPages';
import type { Store } from './database';
import { keptByNow, keptUnder } from './keptResult';
import { latestOrigin, latestOrigins } from './latestFigures';
import type { Photo } from './photos';
import { originOf, type StatedRun } from './runOrigin';
import { keptSummaries, type RunSummary, summaryOf } from './runSummaries';
import type { RunLine } from './runs';
import type { FiguresOrigin } from './runsAtWork';
import { getBoard, inWords, type RunBoard, withReadings, workOutBoard } from './workedRun';

/** A run's figures for a page that waits for nothing: those of its present state, the last ones before it, or none yet. */
export type RunFigures =
	| { readonly kind: 'present'; readonly worked: WorkedRun }
	| { readonly kind: 'before'; readonly worked: WorkedRun; readonly before: FiguresBefore }
	| { readonly kind: 'none' };

/**
 * Figures of a run, at once. Where those of its present state are not on record they are worked out behind the page, which hears of it as of any
 * change (`progressOf` then has another mark); meanwhile there are the last ones, which say that they are from before.
 *
 * What leaves the program never asks here: exports and records wait (`workOutBoard`).
 *
 * @throws what the working out threw, to the first who asks after it; the next asking tries it again
 */
export async function figuresOf(store: Store, pool: AnalysisPool, board: RunBoard): Promise<RunFigures> {
	// such a run has no account
	if (board.products.length === 0) return { kind: 'none' };
	const origin = await originOf(store, board);
	const kept = await keptFigures(store, board.run, origin);
	if (kept !== undefined) return { kind: 'present', worked: kept };
	const held = figuresHeld(store, board.run, origin);
	if (held !== undefined) return held;
	begin(store, pool, board, origin);
	return figuresBefore(store, board, origin);
}

/**
 * What some runs came to, in their order, at once. Of those that are not on record one is worked out at a time: they may be all of a year.
 *
 * @returns also the runs that are behind, whose last summaries stand there, and the name that is awaited next, which the page's events look for
 */
export async function summariesAtOnce(
	store: Store,
	pool: AnalysisPool,
	stated: readonly StatedRun[],
): Promise<{
	readonly summaries: readonly (RunSummary | undefined)[];
	readonly behind: readonly RunLine[];
	readonly awaited: string | undefined;
}> {
	const present = await keptSummaries(
		store,
		stated.map(({ origin }) => origin),
	);
	const held = new Map<RunLine, RunSummary>();
	const behind = stated.filter(({ run, origin }) => {
		if (present.has(origin.key) || Object.keys(origin.labels).length === 0) return false;
		const figures = figuresHeld(store, run, origin);
		if (figures !== undefined) held.set(run, summaryOf(figures.worked));
		return figures === undefined;
	});
	const latest = await latestOrigins(
		store,
		behind.map(({ run }) => run.id),
	);
	const before = await keptSummaries(store, [...latest.values()]);
	for (const { run, origin } of behind) {
		const last = latest.get(run.id);
		const ended = store.runsAtWork.notKept.get(run.id);
		const notKept = ended !== undefined && 'worked' in ended ? summaryOf(ended.worked) : undefined;
		const summary = notKept ?? before.get(last?.key ?? '');
		if (last !== undefined && summary !== undefined && isSame(last.labels, origin.labels)) held.set(run, summary);
	}
	const [next] = behind;
	if (next !== undefined) begin(store, pool, await getBoard(store, next.run.id), next.origin);
	return {
		summaries: stated.map(({ run, origin }) => present.get(origin.key) ?? held.get(run)),
		behind: behind.map(({ run }) => run),
		awaited: next?.origin.key,
	};
}

/** Figures that are worked out and not on record; undefined where they are of another state or there are none. */
function figuresHeld(store: Store, run: RunLine, { key }: FiguresOrigin) {
	const { notKept } = store.runsAtWork;
	const ended = notKept.get(run.id);
	if (ended?.origin.key !== key) return undefined;
	if ('worked' in ended) return { kind: 'present', worked: ended.worked } as const;
	notKept.delete(run.id);
	throw ended.error;
}

function begin(store: Store, pool: AnalysisPool, board: RunBoard, origin: FiguresOrigin): void {
	const work = () => workOutFor(store, pool, board, origin);
	workBehindPages(store, `run ${board.run.id}`, { key: origin.key, work });
}

async function keptFigures(store: Store, run: RunLine, { key }: FiguresOrigin): Promise<WorkedRun | undefined> {
	const kept = (await keptUnder<WorkedRun>(store, [key])).get(key);
	return kept === undefined ? undefined : inWords(store, run, kept);
}

/** Never throws: what goes wrong waits for whoever asks next. */
async function workOutFor(store: Store, pool: AnalysisPool, board: RunBoard, origin: FiguresOrigin): Promise<void> {
	const { notKept } = store.runsAtWork;
	const runId = board.run.id;
	try {
		notKept.hold(runId, { origin, worked: await workOutBoard(store, pool, await withReadings(store, board)) });
		store.changes.announce();
		await keptByNow(origin.key);
		if ((await keptFigures(store, board.run, origin)) === undefined) return;
		notKept.delete(runId);
		// another program's pages find them only now
		store.changes.announce();
	} catch (error) {
		notKept.hold(runId, { origin, error });
		store.changes.announce();
	}
}

/** The last figures, where they are of the same products: others would stand beside the wrong names. */
async function figuresBefore(store: Store, board: RunBoard, present: FiguresOrigin): Promise<RunFigures> {
	const ended = store.runsAtWork.notKept.get(board.run.id);
	const last = await latestOrigin(store, board.run.id);
	if (last === undefined || !isSame(last.labels, present.labels)) return { kind: 'none' };
	const worked =
		ended !== undefined && 'worked' in ended && ended.origin.key === last.key
			? ended.worked
			: await keptFigures(store, board.run, last);
	if (worked === undefined) return { kind: 'none' };
	const photos = board.products.flatMap(({ spreads }) => spreads.flatMap((spread) => spread.photos));
	const all = photos.filter(counts).length;
	const counted = last.readings.length;
	const isPart = isWithin(last.readings, present.readings) && counted < all;
	return { kind: 'before', worked, before: isPart ? { photos: { counted, all } } : {} };
}

/** A photo that is read or on its way to it. */
function counts({ state }: Photo): boolean {
	return state.kind === 'graded' || state.kind === 'queued' || state.kind === 'reading';
}

function isSame(one: Readonly<Record<string, string>>, other: Readonly<Record<string, string>>): boolean {
	const ids = Object.keys(one);
	return ids.length === Object.keys(other).length && ids.every((id) => one[id] === other[id]);
}

/** True where everything of the part is in the whole, as often as it is there. */
function isWithin(part: readonly string[], whole: readonly string[]): boolean {
	const left = [...whole];
	return part.every((one) => {
		const at = left.indexOf(one);
		if (at >= 0) left.splice(at, 1);
		return at >= 0;
	});
}
