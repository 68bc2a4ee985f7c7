import type { SettingRow } from '@/app/_forms/settingRows';
import { settingRowsOf, type ToldRepeats, toldRepeats } from '@/app/_forms/settingRows';
import { namedApart } from '@/lib/balance/compareNames';
import type { ComparableRun } from '@/lib/balance/compareRuns';
import {
	chanceOfImprovement,
	comparedFigureName,
	falseAlarmSentence,
	printPoints,
} from '@/lib/report/compareSentences';
import { printShare } from '@/lib/report/format';
import { runFileSchema } from '@/lib/report/runFile';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { type ToldComparison, toldComparisons } from '@/lib/report/toldComparison';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import type { GradeArguments } from './gradeArguments';
import { type Failure, openEngine } from './gradePhotos';
import { gradeRun, type RunResult } from './gradeRun';
import { readJsonFile } from './readJsonFile';

/** Runs set against the first one, with each run's own account. */
export interface CompareResult {
	readonly runs: readonly RunResult[];
	readonly settings: readonly SettingRow[];
	/** Setting against setting, where the files are repeated runs of two settings. */
	readonly repeats?: ToldRepeats;
	readonly comparisons: readonly ToldComparison[];
}

/**
 * Grade, balance and compare runs from their files; the first is the one the others are set against.
 *
 * @throws TrayError when a file or a weighing can't be used
 */
export async function compareFiles(
	paths: readonly string[],
	asked: GradeArguments,
): Promise<{ readonly result: CompareResult; readonly failures: readonly Failure[] }> {
	const files = [];
	for (const path of paths) files.push(await readJsonFile(path, 'run file', runFileSchema));
	const names = namedApart(files.map(({ name }) => name));
	const [runs, comparable, failures]: [RunResult[], ComparableRun[], Failure[]] = [[], [], []];
	for (const [r, file] of files.entries()) {
		const path = paths[r]!;
		const name = names[r]!;
		const engine = await openEngine(asked, { name: file.material, beside: path });
		const graded = await gradeRun({ ...file, name }, path, engine);
		const { account, draws } = graded.worked;
		const lot = file.lot?.name;
		runs.push(graded.result);
		failures.push(...graded.failures);
		const spreads = Object.fromEntries(
			file.products.map((product) => [product.name, product.spreads?.length ?? product.photos?.length ?? 0]),
		);
		const firstAfterChange = file.settings?.firstAfterChange ?? false;
		comparable.push({
			name,
			account,
			draws,
			spreads,
			firstAfterChange,
			material: engine.material.name,
			...(lot === undefined ? {} : { lot, lotMark: file.lot?.source }),
		});
	}
	const sheet =
		asked.pricesFile === undefined ? undefined : await readJsonFile(asked.pricesFile, 'price file', priceSheetSchema);
	const comparisons = toldComparisons(comparable, sheet);
	const settings = files.map((file) => file.settings ?? {});
	const repeats = toldRepeats(comparable, settings);
	const told = repeats === undefined ? {} : { repeats };
	return { result: { runs, settings: settingRowsOf(settings), ...told, comparisons }, failures };
}

/** What the command prints for a comparison when no JSON is asked for. */
export function compareText({ settings, repeats, comparisons }: CompareResult): string {
	const line = (cells: readonly string[]) =>
		`  ${cells.map((cell, k) => cell.padEnd(k === 0 ? 42 : 34)).join('')}`.trimEnd();
	const several = falseAlarmSentence(comparisons.length);
	const differing = settings.filter(({ differs }) => differs);
	return [
		differing.length === 0
			? 'No noted setting differs.'
			: ['Settings that differ', ...differing.map(({ label, values }) => line([label, ...values]))].join('\n'),
		...(repeats === undefined ? [] : [repeats.sentence]),
		...(several === undefined ? [] : [several]),
		...comparisons.map((comparison) =>
			[
				`${comparison.other} against ${comparison.base}`,
				...comparison.sentences.map((sentence) => `  ${sentence}`),
				...[...comparison.warnings, ...comparison.cannot].map((warning) => `  ! ${warning}`),
				line(['', comparison.base, comparison.other, 'difference', 'chance of improvement']),
				...comparison.differences.map((difference) =>
					line([
						comparedFigureName(difference),
						printShare(difference.base),
						printShare(difference.other),
						printPoints(difference.difference),
						chanceOfImprovement(difference),
					]),
				),
			].join('\n'),
		),
		`${ESTIMATE_SENTENCE} ${COVERAGE_SENTENCE}`,
	].join('\n\n');
}
