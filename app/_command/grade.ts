import { TrayError, toldOf } from '@/lib/errors/TrayError';
import { photoListSchema } from '@/lib/report/photoFile';
import { runFileSchema } from '@/lib/report/runFile';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { compareFiles, compareText } from './compareFiles';
import { type GradeArguments, readGradeArguments, USAGE } from './gradeArguments';
import { gradePhotos, openEngine } from './gradePhotos';
import { gradeRun } from './gradeRun';
import { photosText, runText } from './gradeText';
import { historyOfFiles, historyText } from './historyFiles';
import { moneyText } from './moneyText';
import { planOf, planText } from './planText';
import { besideFile, readJsonFile } from './readJsonFile';
import { rerunOf, rerunText } from './rerunFile';
import { verifyRecord } from './verifyRecord';

/** Exit status: all graded (or all matches), some photo could not be read (or does not match), wrong usage. */
const [ALL_GRADED, SOME_FAILED, WRONG_USAGE] = [0, 1, 2] as const;

function complain(trouble: unknown): void {
	if (trouble instanceof TrayError) console.error(toldOf(trouble));
	else console.error(trouble instanceof Error ? trouble.message : String(trouble));
}

async function main(given: readonly string[]): Promise<number> {
	let asked: GradeArguments;
	try {
		asked = readGradeArguments(given);
	} catch (trouble) {
		complain(trouble);
		console.error(`\n${USAGE}`);
		return WRONG_USAGE;
	}
	if (asked.recordFile !== undefined) {
		const photos = asked.photos.map(({ photo }) => photo);
		const { matches, check, text } = await verifyRecord(asked.recordFile, photos);
		console.log(asked.json ? JSON.stringify({ deckside: 'verification/1', matches, ...check }, null, 2) : text);
		return matches ? ALL_GRADED : SOME_FAILED;
	}
	if (asked.plan !== undefined) {
		const plan = planOf(asked.plan.words, asked.plan);
		console.log(asked.json ? JSON.stringify({ deckside: 'plan/1', ...plan }, null, 2) : planText(plan));
		return ALL_GRADED;
	}
	if (asked.historyFiles.length > 0) {
		const { result, failures } = await historyOfFiles(asked.historyFiles, asked);
		return tell(asked, { deckside: 'history/1', ...result }, failures, () => historyText(result));
	}
	if (asked.compareFiles.length > 0) {
		const { result, failures } = await compareFiles(asked.compareFiles, asked);
		return tell(asked, { deckside: 'comparison/1', ...result }, failures, () => compareText(result));
	}
	if (asked.runFile !== undefined) return gradeRunFile(asked.runFile, asked);
	const list = asked.photoListFile;
	const photos =
		list === undefined ? asked.photos : besideFile(list, await readJsonFile(list, 'list of photos', photoListSchema));
	const engine = await openEngine(asked);
	const { result, failures } = await gradePhotos(photos, engine);
	return tell(asked, result, failures, () => (result.photos.length > 0 ? photosText(result) : undefined));
}

/**
 * Print what was worked out, as JSON or in words, and on standard error the photos that could not be read.
 *
 * @param inWords - undefined where there is nothing to say
 * @returns the exit status
 */
function tell(
	{ json }: GradeArguments,
	result: object,
	failures: readonly { readonly photo: string; readonly message: string }[],
	inWords: () => string | undefined,
): number {
	const said = json ? JSON.stringify({ ...result, failures }, null, 2) : inWords();
	if (said !== undefined) console.log(said);
	for (const { photo, message } of failures) console.error(`${photo}: ${message}`);
	return failures.length > 0 ? SOME_FAILED : ALL_GRADED;
}

async function gradeRunFile(path: string, asked: GradeArguments): Promise<number> {
	const file = await readJsonFile(path, 'run file', runFileSchema);
	const engine = await openEngine(asked, { name: file.material, beside: path });
	const sheet =
		asked.pricesFile === undefined ? undefined : await readJsonFile(asked.pricesFile, 'price file', priceSheetSchema);
	const { result, failures: failed, worked } = await gradeRun(file, path, engine, asked.explain);
	const money = sheet === undefined ? undefined : valueOfRun(worked, sheet);
	const again = asked.rerun === undefined ? undefined : await rerunOf(worked, asked.rerun, asked, sheet);
	const failures = [...failed, ...(again?.failures ?? [])];
	const more = {
		...(money === undefined ? {} : { money }),
		...(again === undefined ? {} : { rerun: again.rerun }),
	};
	return tell(asked, { ...result, ...more }, failures, () =>
		[
			runText(result, worked.account),
			...(sheet && money ? [moneyText(money, sheet)] : []),
			...(again === undefined ? [] : [rerunText(again.rerun, sheet)]),
		].join('\n\n'),
	);
}

main(process.argv.slice(2)).then(
	(status) => {
		process.exitCode = status;
	},
	(trouble: unknown) => {
		complain(trouble);
		process.exitCode = SOME_FAILED;
	},
);
