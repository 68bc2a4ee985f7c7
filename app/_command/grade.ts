import { TrayError } from '@/lib/errors/TrayError';
import { carryOverWarning } from '@/lib/report/carryOver';
import { photoListSchema } from '@/lib/report/photoFile';
import { runFileSchema } from '@/lib/report/runFile';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { compareFiles, compareText } from './compareFiles';
import { type GradeArguments, readGradeArguments, USAGE } from './gradeArguments';
import { gradePhotos, openEngine } from './gradePhotos';
import { gradeRun } from './gradeRun';
import { photosText, runText } from './gradeText';
import { moneyText } from './moneyText';
import { besideFile, readJsonFile } from './readJsonFile';

/** Exit status: all graded, some photo could not be read, wrong usage. */
const [ALL_GRADED, SOME_FAILED, WRONG_USAGE] = [0, 1, 2] as const;

function complain(trouble: unknown): void {
  if (trouble instanceof TrayError) console.error(`${trouble.message} ${trouble.hint}`);
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
  if (asked.compareFiles.length > 0) {
    const { result, failures } = await compareFiles(asked.compareFiles, asked);
    console.log(
      asked.json ? JSON.stringify({ deckside: 'comparison/1', ...result, failures }, null, 2) : compareText(result),
    );
    for (const { photo, message } of failures) console.error(`${photo}: ${message}`);
    return failures.length > 0 ? SOME_FAILED : ALL_GRADED;
  }
  if (asked.runFile !== undefined) {
    const file = await readJsonFile(asked.runFile, 'run file', runFileSchema);
    const engine = await openEngine(asked, { name: file.material, beside: asked.runFile });
    const sheet =
      asked.pricesFile === undefined ? undefined : await readJsonFile(asked.pricesFile, 'price file', priceSheetSchema);
    const { result, failures, worked } = await gradeRun(file, asked.runFile, engine, asked.explain);
    const carryOver = carryOverWarning(file.settings);
    const told = carryOver === undefined ? result : { ...result, warnings: [carryOver, ...result.warnings] };
    const money = sheet === undefined ? undefined : valueOfRun(worked, sheet);
    if (asked.json)
      console.log(JSON.stringify({ ...told, ...(money === undefined ? {} : { money }), failures }, null, 2));
    else console.log([runText(told), ...(sheet && money ? [moneyText(money, sheet)] : [])].join('\n\n'));
    for (const { photo, message } of failures) console.error(`${photo}: ${message}`);
    return failures.length > 0 ? SOME_FAILED : ALL_GRADED;
  }
  const list = asked.photoListFile;
  const photos =
    list === undefined ? asked.photos : besideFile(list, await readJsonFile(list, 'list of photos', photoListSchema));
  const engine = await openEngine(asked);
  const { result, failures } = await gradePhotos(photos, engine);
  console.log(asked.json ? JSON.stringify({ ...result, failures }, null, 2) : photosText(result));
  for (const { photo, message } of failures) console.error(`${photo}: ${message}`);
  return failures.length > 0 ? SOME_FAILED : ALL_GRADED;
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
