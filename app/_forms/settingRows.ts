import { isFarFromClosing } from '@/lib/balance/closure';
import { type RepeatedRun, type Repeats, repeatsOf } from '@/lib/balance/compareRepeats';
import type { ComparableRun } from '@/lib/balance/compareRuns';
import type { Estimate } from '@/lib/quantity/quantity';
import { repeatsSentence } from '@/lib/report/compareSentences';
import { printPlain } from '@/lib/report/format';
import type { RunFile } from '@/lib/report/runFile';
import { KNOBS } from './runForm';
import { DECK_FILM, WETTING_DOSE } from './settledRun';

type Settings = NonNullable<RunFile['settings']>;

/** One setting of several runs side by side. */
export interface SettingRow {
	readonly label: string;
	/** One text a run; `not noted` where nothing was written down. */
	readonly values: readonly string[];
	/** Two runs noted different values. What a run did not note may have been the same. */
	readonly differs: boolean;
	readonly isNotedByAll: boolean;
}

const NOT_NOTED = 'not noted';

/** The settings of several runs side by side; settings that no run noted are left out. */
export function settingRowsOf(runs: readonly Settings[]): readonly SettingRow[] {
	const rows = [
		...KNOBS.map(({ field, label, unit }) => rowOf(label, runs, (run) => withUnit(run[field], unit))),
		rowOf('Wetting agent', runs, ({ wettingAgent }) => wettingAgent || undefined),
		rowOf(WETTING_DOSE.label, runs, (run) => withUnit(WETTING_DOSE.of(run), WETTING_DOSE.unit)),
		rowOf(DECK_FILM.label, runs, ({ filmOnDeck }) =>
			filmOnDeck === undefined ? undefined : filmOnDeck ? 'yes' : 'no',
		),
		// only ever noted where it is so
		...(runs.some(({ firstAfterChange }) => firstAfterChange)
			? [rowOf('First after a change, not washed through', runs, (run) => (run.firstAfterChange ? 'yes' : 'no'))]
			: []),
	];
	return rows.filter(({ values }) => values.some((value) => value !== NOT_NOTED));
}

function rowOf(label: string, runs: readonly Settings[], textOf: (run: Settings) => string | undefined): SettingRow {
	const values = runs.map((run) => textOf(run) ?? NOT_NOTED);
	const noted = values.filter((value) => value !== NOT_NOTED);
	return { label, values, differs: new Set(noted).size > 1, isNotedByAll: noted.length === values.length };
}

function withUnit(value: number | undefined, unit: string): string | undefined {
	return value === undefined ? undefined : `${printPlain(value)} ${unit}`;
}

/** Setting against setting, with its words. */
export type ToldRepeats = Repeats & { readonly sentence: string };

/** Setting against setting by recovered copper, where the runs are repeats of two settings; undefined where they are not. */
export function toldRepeats(
	runs: readonly Pick<ComparableRun, 'name' | 'account' | 'lot' | 'lotMark'>[],
	settings: readonly Settings[],
): ToldRepeats | undefined {
	const repeats = repeatsOf(repeatedRuns(runs, settings));
	return repeats && { ...repeats, sentence: repeatsSentence(repeats) };
}

/** Runs with their recovered copper, grouped by equal settings further on. */
function repeatedRuns(
	runs: readonly Pick<ComparableRun, 'name' | 'account' | 'lot' | 'lotMark'>[],
	settings: readonly Settings[],
): readonly RepeatedRun[] {
	const rows = settingRowsOf(settings).filter(({ isNotedByAll }) => !isNotedByAll);
	return runs.map(({ name, account, lot, lotMark }, r) => ({
		name,
		lot: JSON.stringify([lot, lotMark]),
		notNoted: rows.filter(({ values }) => values[r] === NOT_NOTED).map(({ label }) => label),
		settings: settingRowsOf([settings[r] ?? {}])
			.map(({ label, values }) => `${label} ${values.join()}`)
			.join('; '),
		outcome: isFarFromClosing(account) ? undefined : toldValue(account.together.concentrate?.recovery.copper),
	}));
}

/** What a figure comes to; undefined where it is not known, or is below detection and so only has a limit. */
function toldValue(estimate: Estimate | undefined): number | undefined {
	return estimate?.belowDetectionLimit ? undefined : estimate?.value;
}
