import { type Outcome, settledRunOf } from '@/app/_forms/settledRun';
import { type HistoryLine, historyLineOf, type PhotosInReading } from '@/lib/balance/runHistory';
import { type SettingEffects, settingEffectsOf } from '@/lib/balance/settingEffects';
import { runsInReadingSentence } from '@/lib/report/progressSentences';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { runsInReading } from '@/lib/store/progress';
import { summariesAtOnce } from '@/lib/store/runFigures';
import type { StatedRun } from '@/lib/store/runOrigin';
import { type RunSummary, runsOfLot, summariesOf } from '@/lib/store/runSummaries';
import type { RunLine } from '@/lib/store/runs';

/** A lot's runs, oldest first. */
export interface LotRuns {
	readonly runs: readonly {
		readonly run: RunLine;
		readonly account: RunSummary;
		/** Left without figures, since they would be of a part of its photos. */
		readonly inReading?: PhotosInReading | undefined;
	}[];
	/** Runs whose figures are from before their latest change, or not there yet. */
	readonly behind: readonly string[];
	/** The name that a page's events look for while some are behind. */
	readonly awaited: string | undefined;
}

const NOTHING_YET: RunSummary = { together: {} };

/** A lot's runs worked out, as they leave the program: waited for, but for runs whose photos are still being read. */
export async function workedRuns(store: Store, pool: AnalysisPool, lotId: string): Promise<LotRuns> {
	const runs = await runsOfLot(store, lotId);
	// counted after the runs were looked up: a photo that was read in between is waited for
	const inReading = await runsInReading(store, lotId);
	const settled = runs.filter(({ run }) => !inReading.has(run.id));
	const accounts = await summariesOf(store, pool, settled);
	const byRun = new Map(settled.map(({ run }, k) => [run.id, accounts[k]]));
	return {
		runs: runs.map(({ run }) => {
			return { run, account: byRun.get(run.id) ?? NOTHING_YET, inReading: inReading.get(run.id) };
		}),
		behind: [],
		awaited: undefined,
	};
}

/** The same for a page that waits for nothing: runs that are behind have the last figures on record, or none. */
export async function runsAtOnce(store: Store, pool: AnalysisPool, runs: readonly StatedRun[]): Promise<LotRuns> {
	const { summaries, behind, awaited } = await summariesAtOnce(store, pool, runs);
	return {
		runs: runs.map(({ run }, k) => ({ run, account: summaries[k] ?? NOTHING_YET })),
		behind: behind.map(({ name }) => name),
		awaited,
	};
}

/** What the concentrates of a lot's runs came to, oldest first. */
export function lotHistory({ runs }: LotRuns): readonly (HistoryLine & { readonly id: string })[] {
	return runs.map(({ run, account, inReading }) => ({
		id: run.id,
		...historyLineOf(account, {
			name: run.name,
			date: run.runDate,
			firstAfterChange: run.settings.firstAfterChange,
		}),
		...(inReading === undefined ? {} : { inReading: { read: inReading.read, all: inReading.all } }),
	}));
}

/** Of the lots asked for last, the runs and figures that their effects were worked out from: figures stay the same things while they don't change. */
const lately: { readonly from: LotRuns['runs']; readonly effects: Map<Outcome, SettingEffects> }[] = [];
/** A regression over a thousand runs takes some ten milliseconds, and what is asked again and again is held. */
const MOST_LATELY = 2;

/**
 * What settings did to one outcome over a lot's runs; worked out again only where a run or what it came to is another. Runs whose photos are still
 * being read are left out, and a warning says so.
 */
export function lotEffects({ runs }: LotRuns, outcome: Outcome): SettingEffects {
	const left = runs.flatMap(({ run: { name }, inReading }) =>
		inReading === undefined ? [] : [{ name, ...inReading }],
	);
	const effects = settledEffects(
		runs.filter(({ inReading }) => inReading === undefined),
		outcome,
	);
	return left.length === 0 ? effects : { ...effects, warnings: [...effects.warnings, runsInReadingSentence(left)] };
}

function settledEffects(runs: LotRuns['runs'], outcome: Outcome): SettingEffects {
	const isFrom = (from: LotRuns['runs']) =>
		from.length === runs.length &&
		from.every(({ run, account }, k) => account === runs[k]?.account && isAlike(run, runs[k].run));
	const there = lately.findIndex(({ from }) => isFrom(from));
	const [held = { from: runs, effects: new Map<Outcome, SettingEffects>() }] = there < 0 ? [] : lately.splice(there, 1);
	lately.unshift(held);
	lately.length = Math.min(lately.length, MOST_LATELY);
	const effects = held.effects.get(outcome) ?? effectsOf(runs, outcome);
	held.effects.set(outcome, effects);
	return effects;
}

/** A run is looked up anew after each of its photos, and what was noted of it stays. */
function isAlike(one: RunLine, other: RunLine): boolean {
	const noted = ({ name, settings, material }: RunLine) => JSON.stringify([name, settings, material]);
	return one === other || noted(one) === noted(other);
}

function effectsOf(runs: LotRuns['runs'], outcome: Outcome): SettingEffects {
	return settingEffectsOf(
		runs.map(({ run, account }) => settledRunOf(run.name, run.settings, account, outcome, run.material)),
	);
}
