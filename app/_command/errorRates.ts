import { readFile, writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import { ERROR_CLASSES, errorRatesByKindSchema, fitErrorRates, READING_KINDS } from '@/lib/grade/errorRates';
import { shareOfLikeliest } from '@/lib/segmentation/areaRule';

/**
 * Fits the error rates that grades are corrected with to tables of scenes with truth, and writes lib/grade/measuredErrorRates.json.
 *
 * Takes JSON-lines files as `npm run bench:accuracy -- --tables` prints them, for the colours, and `models/confusion.json` for the
 * model: its scenes were each read by a network that had not seen them, and both ways of counting are put together as
 * lib/segmentation/areaRule.ts does. A kind of reading that no file tells of keeps its rates.
 */

const square = z.array(z.array(z.number().min(0)).length(ERROR_CLASSES)).length(ERROR_CLASSES);
const heldOutSchema = z.object({
  scenes: z.array(z.object({ surface: z.string(), called: square, meanProbability: square })),
});

const lineSchema = z.object({
  method: z.enum(['threshold', 'model']),
  surface: z.string(),
  table: z.array(z.array(z.number().min(0))),
});

type Line = z.infer<typeof lineSchema>;

/** Pixels that are called alike because they belong to one piece: 1.5 mm square at 8 pixels a millimetre. */
const PIXELS_PER_PIECE = 150;

const { positionals } = parseArgs({ allowPositionals: true });
const texts = await Promise.all(positionals.map((file) => readFile(file, 'utf8')));
const lines = texts.flatMap((text) => (text.startsWith('{"classes"') ? heldOutLines(text) : printedLines(text)));
const RATES = 'lib/grade/measuredErrorRates.json';
const before = errorRatesByKindSchema.parse(JSON.parse(await readFile(RATES, 'utf8')));
const fitted = READING_KINDS.map((kind) => {
  const kindOf = ({ method, surface }: Line) => `${method}-${surface === 'mat' ? 'mat' : 'tray'}`;
  const own = lines.filter((line) => kindOf(line) === kind);
  const elsewhere = lines.filter((line) => kindOf(line) !== kind && kind.startsWith(line.method));
  if (own.length === 0) return [kind, before[kind]]; // nothing new about it
  const source = `${own.length} rendered scenes with truth, not used to make the method (models/CARD.md)`;
  return [
    kind,
    fitErrorRates(
      own.map(({ table }) => table),
      PIXELS_PER_PIECE,
      source,
      elsewhere.map(({ table }) => table),
    ),
  ];
});
const rounded = JSON.stringify(Object.fromEntries(fitted), (_, value) =>
  typeof value === 'number' ? Number(value.toPrecision(4)) : value,
);
errorRatesByKindSchema.parse(JSON.parse(rounded));
await writeFile(RATES, `${rounded}\n`);

function printedLines(text: string): Line[] {
  return text
    .split('\n')
    .filter((line) => line.includes('"table"') && !line.includes('"method":"hue"'))
    .map((line) => lineSchema.parse(JSON.parse(line)));
}

function heldOutLines(text: string): Line[] {
  return heldOutSchema.parse(JSON.parse(text)).scenes.map(({ surface, called, meanProbability }) => {
    const of = shareOfLikeliest(called.reduce((sum, row) => sum.map((count, j) => count + row[j]!)));
    const table = called.map((row, k) =>
      row.map((count, j) => of[j]! * count + (1 - of[j]!) * meanProbability[k]![j]!),
    );
    return { method: 'model' as const, surface, table };
  });
}
