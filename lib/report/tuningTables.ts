import type { BalanceWarning } from '../balance/balanceWarning';
import type { FactorialPlan } from '../balance/factorialPlan';
import type { HistoryLine } from '../balance/runHistory';
import type { SettingEffects } from '../balance/settingEffects';
import type { RerunAccount } from '../value/rerunAccount';
import { type CsvCell, csvOf, rangeCells, rangeHeads } from './exportCsv';
import { planSentences } from './planSentences';
import { plainly } from './presentation';
import { inReadingSentence } from './progressSentences';

/**
 * A lot's runs over time as a table: one line a run, shares as fractions with the ends of their 95 % ranges, or of what is known where there is no
 * value. The note says whose photos are still being read.
 */
export function historyCsv(lines: readonly HistoryLine[]): string {
	const figures = rangeHeads(['copper recovery fraction', 'copper grade of the concentrates fraction']);
	return csvOf(
		['run', 'date', ...figures, 'first after a change', 'note'],
		lines.map(({ name, date, recovery, recoveryBounds: bounds, grade, firstAfterChange, inReading }) => [
			name,
			date,
			...(bounds === undefined ? rangeCells(recovery) : [undefined, bounds.low, bounds.high]),
			...rangeCells(grade),
			firstAfterChange ? 'yes' : 'no',
			inReading === undefined ? undefined : inReadingSentence(inReading),
		]),
	);
}

/** Effects of settings by outcome as a table: one line an outcome and setting, then what can't be told. */
export function effectsCsv(
	effects: Readonly<Record<string, SettingEffects>>,
	unitOf: (setting: string) => string,
): string {
	const header = [
		...['outcome', 'setting', 'for one more of', 'runs', 'degrees of freedom'],
		...rangeHeads(['effect fraction']),
		...['standard error fraction', 'changed along with the others fraction', 'note'],
	];
	return csvOf(
		header,
		Object.entries(effects).flatMap(([outcome, { effects: found, runs, degreesOfFreedom, warnings }]) => [
			...found.map(({ setting, perUnit, overlap }): CsvCell[] => [
				...[outcome, setting, unitOf(setting), runs, degreesOfFreedom],
				...[perUnit.value, perUnit.low, perUnit.high, perUnit.u, overlap, undefined],
			]),
			...warnings.map((warning): CsvCell[] => [
				...[outcome, undefined, undefined, runs, degreesOfFreedom],
				...[undefined, undefined, undefined, undefined, undefined, warning],
			]),
		]),
	);
}

/** A plan of runs as a table: one line a run in the order to be done, one column a setting with its unit, then what the runs can't tell. */
export function planCsv(plan: FactorialPlan, unitOf: (setting: string) => string): string {
	const { settings, runs, seed } = plan;
	const header = ['run', ...settings.map(({ name }) => `${name}, ${unitOf(name)}`), 'seed of the order', 'note'];
	return csvOf(header, [
		...runs.map(({ order, high }) => [
			order,
			...settings.map((setting, k) => (high[k] ? setting.high : setting.low)),
			seed,
			undefined,
		]),
		...plainly(() => planSentences(plan)).map((sentence) => noteLine(header, sentence)),
	]);
}

/** A line that holds a sentence instead of figures. */
function noteLine(header: readonly string[], note: string): CsvCell[] {
	return [...header.slice(1).map(() => undefined), note];
}

/** What rerunning the middlings comes to as a table: one line a number of reruns, then gain and stock, then what its figures suffer from. */
export function rerunCsv(
	{ passes, value, currency, stock }: RerunAccount,
	warnings: readonly BalanceWarning[],
): string {
	const figures = rangeHeads(['copper recovery fraction', 'copper grade fraction', 'fed again kg per kg of feed']);
	const beside = ['gain', 'unit of the gain', 'gain low', 'gain high', 'probability that it pays'];
	const stocked = ['stock kg', 'middlings of a run kg'];
	const header = ['reruns', ...figures, ...beside, ...stocked, 'note'];
	return csvOf(header, [
		...passes.map(({ reruns, recovery, grade, fedAgain }) => {
			// the gain is that of one rerun against none
			const gain = reruns === 1 ? value : undefined;
			return [
				reruns,
				...[recovery, grade, fedAgain].flatMap((figure) => rangeCells(figure)),
				gain?.gainPerKg.value,
				gain === undefined ? undefined : `${currency ?? ''} per kg of dry waste`,
				gain?.gainPerKg.low,
				gain?.gainPerKg.high,
				gain?.probabilityPays,
				reruns === 0 ? stock?.batchKg : undefined,
				reruns === 0 ? stock?.middlingsKg.value : undefined,
				undefined,
			];
		}),
		...warnings.map(({ message }) => noteLine(header, message)),
	]);
}
