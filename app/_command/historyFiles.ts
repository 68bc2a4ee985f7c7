import { OUTCOMES, type Outcome, perUnitOf, settledRunOf } from '@/app/_forms/settledRun';
import { namedApart } from '@/lib/balance/compareNames';
import type { RunAccount } from '@/lib/balance/runAccount';
import { type HistoryLine, historyLineOf } from '@/lib/balance/runHistory';
import { type SettingEffects, settingEffectsOf } from '@/lib/balance/settingEffects';
import { perName } from '@/lib/quantity/perName';
import { printPoints } from '@/lib/report/compareSentences';
import { printPercent, printShare } from '@/lib/report/format';
import { type RunFile, runFileSchema } from '@/lib/report/runFile';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE, notKnown, printRecoveryBounds } from '@/lib/report/sentences';
import type { GradeArguments } from './gradeArguments';
import { type Failure, openEngine } from './gradePhotos';
import { gradeRun } from './gradeRun';
import { readJsonFile } from './readJsonFile';

/** Runs over time and what their settings did. */
export interface HistoryResult {
	readonly runs: readonly HistoryLine[];
	readonly effects: Readonly<Record<Outcome, SettingEffects>>;
}

/**
 * Grade and balance runs from their files and tell what they came to over time, and what their settings did.
 *
 * @throws TrayError when a file or a weighing can't be used
 */
export async function historyOfFiles(
	paths: readonly string[],
	asked: GradeArguments,
): Promise<{ readonly result: HistoryResult; readonly failures: readonly Failure[] }> {
	const files = [];
	for (const path of paths) files.push({ path, file: await readJsonFile(path, 'run file', runFileSchema) });
	files.sort((a, b) => (a.file.date ?? '').localeCompare(b.file.date ?? ''));
	const names = namedApart(files.map(({ file }) => file.name));
	const failures: Failure[] = [];
	const worked: { readonly name: string; readonly file: RunFile; readonly account: RunAccount }[] = [];
	for (const [r, { path, file }] of files.entries()) {
		const engine = await openEngine(asked, { name: file.material, beside: path });
		const name = names[r]!;
		const graded = await gradeRun({ ...file, name }, path, engine);
		failures.push(...graded.failures);
		worked.push({ name, file, account: graded.worked.account });
	}
	const effectsOn = (outcome: Outcome) =>
		settingEffectsOf(
			worked.map(({ name, file, account }) => settledRunOf(name, file.settings ?? {}, account, outcome, file.material)),
		);
	return {
		result: {
			runs: worked.map(({ name, file, account }) =>
				historyLineOf(account, { name, date: file.date, firstAfterChange: file.settings?.firstAfterChange }),
			),
			effects: perName(OUTCOMES, effectsOn),
		},
		failures,
	};
}

/** What the command prints of runs over time when no JSON is asked for. */
export function historyText({ runs, effects }: HistoryResult): string {
	const line = (cells: readonly string[]) =>
		`  ${cells.map((cell, k) => cell.padEnd(k === 0 ? 42 : 30)).join('')}`.trimEnd();
	const shown = (share: HistoryLine['recovery'], bounds?: HistoryLine['recoveryBounds']) =>
		share !== undefined ? printShare(share) : bounds === undefined ? notKnown : printRecoveryBounds(bounds);
	return [
		[
			'Runs over time, concentrates',
			line(['', 'copper recovery', 'copper grade']),
			...runs.map(({ name, date, recovery, recoveryBounds, grade, firstAfterChange }) =>
				line([
					[name, date].filter(Boolean).join(', '),
					shown(recovery, recoveryBounds),
					shown(grade),
					...(firstAfterChange ? ['first after a change'] : []),
				]),
			),
		].join('\n'),
		...OUTCOMES.map((outcome) =>
			[
				`What settings did to the copper ${outcome}`,
				...effects[outcome].effects.map(({ setting, perUnit, overlap }) =>
					line([
						`${setting}, ${perUnitOf(setting)}`,
						printPoints(perUnit),
						`${printPercent(overlap)} along with the others`,
					]),
				),
				...effects[outcome].warnings.map((warning) => `  ! ${warning}`),
			].join('\n'),
		),
		`${ESTIMATE_SENTENCE} ${COVERAGE_SENTENCE}`,
	].join('\n\n');
}
