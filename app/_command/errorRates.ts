import { readFile, writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import { errorRatesByKindSchema, fitErrorRates, READING_KINDS } from '@/lib/grade/errorRates';

/**
 * Fits the error rates that grades are corrected with to tables of scenes with truth, and writes lib/grade/measuredErrorRates.json.
 *
 * Takes JSON-lines files as `npm run bench:accuracy -- --tables` prints them; for the model these must be scenes that were held out
 * of its training (models/train.py prints them in the same form).
 */

const lineSchema = z.object({
  method: z.enum(['threshold', 'model']),
  surface: z.string(),
  table: z.array(z.array(z.number().min(0))),
});

/** Pixels that are called alike because they belong to one piece: 1.5 mm square at 8 pixels a millimetre. */
const PIXELS_PER_PIECE = 150;

const { positionals } = parseArgs({ allowPositionals: true });
const lines = (await Promise.all(positionals.map((file) => readFile(file, 'utf8'))))
  .flatMap((text) => text.split('\n'))
  .filter((line) => line.includes('"table"'))
  .map((line) => lineSchema.parse(JSON.parse(line)));
const fitted = READING_KINDS.map((kind) => {
  const own = lines.filter(({ method, surface }) => kind === `${method}-${surface === 'mat' ? 'mat' : 'tray'}`);
  const source = `${own.length} rendered scenes with truth, not used to make the method (models/CARD.md)`;
  return [
    kind,
    fitErrorRates(
      own.map(({ table }) => table),
      PIXELS_PER_PIECE,
      source,
    ),
  ];
});
const rounded = JSON.stringify(Object.fromEntries(fitted), (_, value) =>
  typeof value === 'number' ? Number(value.toPrecision(4)) : value,
);
errorRatesByKindSchema.parse(JSON.parse(rounded));
await writeFile('lib/grade/measuredErrorRates.json', `${rounded}\n`);
