import { z } from 'zod';
import type { WorkedOutRun } from '@/lib/balance/gradedRun';
import { drawSplit } from '@/lib/balance/rerunAssumed';
import { type RerunSplit, splitOfRun } from '@/lib/balance/rerunCircuit';
import { TrayError } from '@/lib/errors/TrayError';
import { printShare } from '@/lib/report/format';
import { rerunCannotSentence, rerunSentences, rerunsName } from '@/lib/report/rerunSentences';
import { runFileSchema } from '@/lib/report/runFile';
import { splitFileSchema } from '@/lib/report/splitFile';
import { type PriceSheet, priceSheetSchema } from '@/lib/value/priceSheet';
import { type RerunAccount, rerunAccountOf } from '@/lib/value/rerunAccount';
import type { GradeArguments } from './gradeArguments';
import { type Failure, openEngine } from './gradePhotos';
import { gradeRun } from './gradeRun';
import { readJsonFile } from './readJsonFile';

/**
 * What rerunning a run's middlings comes to.
 *
 * @param from - `own` for the run's own split, or a file: another run, or an assumed split
 * @throws TrayError when the file can't be used, or the run is not weighed and graded far enough
 */
export async function rerunOf(
	worked: WorkedOutRun,
	from: string,
	asked: GradeArguments,
	sheet: PriceSheet | undefined,
): Promise<{ readonly rerun: RerunAccount; readonly failures: readonly Failure[] }> {
	const { split, failures } = await splitFrom(worked, from, asked);
	const rerun = split && rerunAccountOf(worked, split, { sheet, batchKg: asked.batchKg });
	if (rerun !== undefined) return { rerun, failures };
	throw new TrayError(
		'usage',
		rerunCannotSentence(worked.account, split !== undefined),
		'Weigh and photograph what is missing.',
	);
}

async function splitFrom(
	worked: WorkedOutRun,
	from: string,
	asked: GradeArguments,
): Promise<{ readonly split: RerunSplit | undefined; readonly failures: readonly Failure[] }> {
	if (from === 'own') return { split: splitOfRun(worked), failures: [] };
	const { deckside } = await readJsonFile(from, 'file of the split', z.looseObject({ deckside: z.string() }));
	if (deckside === 'run/1') {
		const file = await readJsonFile(from, 'run file', runFileSchema);
		const engine = await openEngine(asked, { name: file.material, beside: from });
		const measured = await gradeRun(file, from, engine);
		return { split: splitOfRun(measured.worked), failures: measured.failures };
	}
	const { copper, rest } = await readJsonFile(from, 'file of the split', splitFileSchema);
	const assumed = {
		copperToConcentrate: copper.toConcentrate,
		copperToMiddlings: copper.toMiddlings,
		restToConcentrate: rest.toConcentrate,
		restToMiddlings: rest.toMiddlings,
	};
	const { drawCount, seed } = worked.account;
	return { split: drawSplit(assumed, drawCount, seed), failures: [] };
}

/** What the command prints of a rerun when no JSON is asked for. */
export function rerunText(rerun: RerunAccount, sheet: PriceSheet | undefined): string {
	const line = (cells: readonly string[]) =>
		`  ${cells.map((cell, k) => cell.padEnd(k === 0 ? 46 : 30)).join('')}`.trimEnd();
	const shown = (share: Parameters<typeof printShare>[0] | undefined) =>
		share === undefined ? 'not known' : printShare(share);
	return [
		'Middlings fed again',
		...rerunSentences(rerun, sheet ?? priceSheetSchema.parse({ deckside: 'prices/1' })).map((told) => `  ${told}`),
		line(['', 'copper recovery', 'copper grade', 'fed again, of the feed']),
		...rerun.passes.map(({ reruns, recovery, grade, fedAgain }) =>
			line([rerunsName(reruns), shown(recovery), shown(grade), reruns === 0 ? 'none' : shown(fedAgain)]),
		),
	].join('\n');
}
