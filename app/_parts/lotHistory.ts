import { OUTCOMES, type Outcome, settledRunOf } from '@/app/_forms/settledRun';
import type { RunAccount } from '@/lib/balance/runAccount';
import { type HistoryLine, historyLineOf } from '@/lib/balance/runHistory';
import { type SettingEffects, settingEffectsOf } from '@/lib/balance/settingEffects';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { figuresOfRuns } from '@/lib/store/runFigures';
import { listRuns, type RunLine } from '@/lib/store/runs';
import { workOutRuns } from '@/lib/store/workedRun';

/** A run of a lot with its account, as far as there is one. */
interface RunOfLot {
	readonly run: RunLine;
	readonly account: Pick<RunAccount, 'together' | 'probability'>;
}

/** A lot's runs, oldest first. */
export interface LotRuns {
	readonly runs: readonly RunOfLot[];
	/** Runs whose figures are from before their latest change, or not there yet. */
	readonly behind: readonly string[];
	/** The name that a page's events look for while some are behind. */
	readonly awaited: string | undefined;
}

/** A lot's runs worked out. */
export async function workedRuns(store: Store, pool: AnalysisPool, lotId: string): Promise<LotRuns> {
	const runs = (await listRuns(store, { lotId })).toReversed();
	const worked = await workOutRuns(store, pool, runs);
	return { runs: runs.map((run, k) => ({ run, account: worked[k]!.account })), behind: [], awaited: undefined };
}

/** The same for a page that waits for nothing: runs that are behind have the last figures on record, or none. */
export async function runsAtOnce(store: Store, pool: AnalysisPool, lotId: string): Promise<LotRuns> {
	const runs = (await listRuns(store, { lotId })).toReversed();
	const { figures, behind, awaited } = await figuresOfRuns(store, pool, runs);
	const accounts = figures.map((one) => (one.kind === 'none' ? { together: {} } : one.worked.account));
	return {
		runs: runs.map((run, k) => ({ run, account: accounts[k]! })),
		behind: behind.map(({ name }) => name),
		awaited,
	};
}

/** What the concentrates of a lot's runs came to, oldest first. */
export function lotHistory({ runs }: LotRuns): readonly (HistoryLine & { readonly id: string })[] {
	return runs.map(({ run, account }) => ({
		id: run.id,
		...historyLineOf(account, {
			name: run.name,
			date: run.runDate,
			firstAfterChange: run.settings.firstAfterChange,
		}),
	}));
}

/** What settings did over a lot's runs, by outcome. */
export function lotEffects({ runs }: LotRuns): Readonly<Record<Outcome, SettingEffects>> {
	return Object.fromEntries(
		OUTCOMES.map((outcome) => [
			outcome,
			settingEffectsOf(
				runs.map(({ run, account }) => settledRunOf(run.name, run.settings, account, outcome, run.material)),
			),
		]),
	) as Record<Outcome, SettingEffects>; // every outcome is listed
}
