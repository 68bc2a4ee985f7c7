import { readdir, readFile } from 'node:fs/promises';
import path from 'node:path';
import { parseArgs } from 'node:util';
import sharp from 'sharp';
import { ERROR_CLASSES } from '@/lib/grade/errorRates';
import { type GradeTables, gradePhoto } from '@/lib/grade/gradeProduct';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { type PhotoReading, readPhoto } from '@/lib/grade/readPhoto';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { decodePhoto } from '@/lib/photo/decode';
import { fieldBoxOf } from '@/lib/segmentation/fieldBox';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import { type TrayTruth, trayTruthSchema } from './trayTruth';

/**
 * Measures the reading of pictures with known truth: class area shares, grades with their intervals, and, where class masks lie
 * beside the pictures, pixel by pixel. Prints one JSON line a picture and method, then one summary line a method and kind.
 */

type Method = 'threshold' | 'model';

interface Scored {
  readonly picture: string;
  readonly method: Method;
  readonly surface: string;
  readonly light: string;
  readonly product: string;
  readonly seconds: number;
  /** Estimated minus true share of all pieces' area, percentage points, per class. */
  readonly areaShareError: Record<string, number>;
  readonly freeCopper: ScoredShare;
  readonly copper: ScoredShare;
  readonly densityOnlyFreeCopper: number;
  readonly warnings: readonly string[];
  readonly table?: readonly (readonly number[])[];
}

interface ScoredShare {
  readonly truth: number;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly holds: boolean;
  readonly below: boolean;
}

const { values, positionals } = parseArgs({
  options: { method: { type: 'string' }, tables: { type: 'boolean', default: false } },
  allowPositionals: true,
});
const folder = positionals[0] ?? 'demo-images';
const methods = (['threshold', 'model'] as const).filter(
  (method) => values.method === undefined || values.method === method,
);
const { model } = await openPixelModel();
const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 4000, 20);
const files = await readdir(folder);
const scored: Scored[] = [];
for (const file of files.filter((name) => name.endsWith('.jpg')).sort()) {
  const name = path.parse(file).name;
  const truthFile = [`${name}.truth.json`, `${name}.json`].find((candidate) => files.includes(candidate));
  if (truthFile === undefined) continue;
  const truth = trayTruthSchema.parse(JSON.parse(await readFile(path.join(folder, truthFile), 'utf8')));
  for (const method of methods) {
    if (method === 'model' && model === undefined) continue;
    const started = performance.now();
    const { raster } = await decodePhoto(await readFile(path.join(folder, file)));
    const onMat = truth.surface === 'mat';
    const reading = await readPhoto(
      raster,
      {
        surface: onMat ? 'mat' : 'tray',
        method,
        ...(onMat
          ? {}
          : {
              corners: truth.field_corners_px.map(([x, y]) => ({ x, y })),
              fieldMm: { widthMm: truth.field_mm[0], heightMm: truth.field_mm[1] },
            }),
      },
      DEFAULT_MATERIAL,
      model,
    );
    const tables = gradePhoto(reading.reading, DEFAULT_MATERIAL, shared);
    const seconds = (performance.now() - started) / 1000;
    const mask = files.includes(`${name}.mask.png`) ? await readMask(path.join(folder, `${name}.mask.png`)) : undefined;
    const line = scoreOf(name, method, truth, reading, tables, seconds, mask);
    scored.push(line);
    const { table, ...rest } = line;
    console.log(JSON.stringify(values.tables ? line : rest));
  }
}
for (const line of summaries(scored)) console.log(JSON.stringify(line));

async function readMask(file: string): Promise<Uint8Array> {
  return sharp(file).extractChannel(0).raw().toBuffer();
}

function scoreOf(
  picture: string,
  method: Method,
  truth: TrayTruth,
  reading: PhotoReading,
  tables: GradeTables,
  seconds: number,
  mask: Uint8Array | undefined,
): Scored {
  const freeTruth = truth.copper_plus_tinned_mass_fraction - truth.locked_copper_mass_fraction;
  const score = (name: 'copper' | 'freeCopper', true_: number): ScoredShare => {
    const { value, low, high, belowDetectionLimit } = tables.massFraction[name];
    return {
      truth: true_,
      value,
      low,
      high,
      holds: low <= true_ && true_ <= high,
      below: belowDetectionLimit === true,
    };
  };
  return {
    picture,
    method,
    surface: truth.surface,
    light: truth.light,
    product: truth.product,
    seconds,
    areaShareError: Object.fromEntries(
      MATERIAL_CLASSES.map((name, c) => [
        name,
        100 * (calledShare(reading, name) - (truth.projected_area_fraction_by_class_of_particles[String(c + 1)] ?? 0)),
      ]),
    ),
    freeCopper: score('freeCopper', freeTruth),
    copper: score('copper', truth.copper_plus_tinned_mass_fraction),
    densityOnlyFreeCopper: tables.densityOnlyMassFraction.freeCopper.value,
    warnings: reading.warnings.map(({ code }) => code),
    ...(mask === undefined ? {} : { table: confusionOf(reading, mask) }),
  };
}

/** Share of all pieces' area as called, error rates not taken off: what segmentation alone is judged by. */
function calledShare({ reading }: PhotoReading, name: (typeof MATERIAL_CLASSES)[number]): number {
  const area = (of: (typeof MATERIAL_CLASSES)[number]) =>
    reading.blocks.reduce((sum, block) => sum + block.areaMm2[of], 0);
  return area(name) / MATERIAL_CLASSES.reduce((sum, of) => sum + area(of), 0);
}

/** Pixel counts inside the field: rows true class, columns called class, not-judged pixels left out. */
function confusionOf({ classMap, widthPx, heightPx, surface }: PhotoReading, mask: Uint8Array): number[][] {
  const { inside } = fieldBoxOf({ width: widthPx, height: heightPx }, surface);
  const table = Array.from({ length: ERROR_CLASSES }, () => new Array<number>(ERROR_CLASSES).fill(0));
  for (let row = 0; row < classMap.height; row++) {
    for (let column = 0; column < classMap.width; column++) {
      const i = row * classMap.width + column;
      const called = classMap.labels[i]!;
      if (inside[i] === 0 || called >= ERROR_CLASSES) continue;
      const cells = table[mask[(row + classMap.rowOffset) * widthPx + column + classMap.columnOffset]!]!;
      cells[called] = cells[called]! + 1;
    }
  }
  return table;
}

function median(numbers: readonly number[]): number | undefined {
  const sorted = [...numbers].sort((a, b) => a - b);
  return sorted.length === 0 ? undefined : (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
}

/** One line a method and a kind of picture: medians of absolute errors, how many intervals hold, balanced accuracy. */
function summaries(lines: readonly Scored[]): object[] {
  const kinds = new Map<string, (line: Scored) => boolean>([
    ['all', () => true],
    ['mats', ({ surface }) => surface === 'mat'],
    ['trays', ({ surface }) => surface !== 'mat'],
    ...[...new Set(lines.map(({ light }) => light))].map(
      (light) => [`light: ${light}`, (line: Scored) => line.light === light] as const,
    ),
    ...[...new Set(lines.map(({ product }) => product))].map(
      (product) => [`product: ${product}`, (line: Scored) => line.product === product] as const,
    ),
  ]);
  return methods.flatMap((method) =>
    [...kinds].flatMap(([kind, belongs]) => {
      const own = lines.filter((line) => line.method === method && belongs(line));
      if (own.length === 0) return [];
      const points = (of: (line: Scored) => number) => round(median(own.map((line) => Math.abs(of(line)))));
      return [
        {
          summary: kind,
          method,
          pictures: own.length,
          medianAreaShareErrorPoints: Object.fromEntries(
            MATERIAL_CLASSES.map((name) => [name, points((line) => line.areaShareError[name]!)]),
          ),
          medianFreeCopperErrorPoints: points(({ freeCopper }) => 100 * (freeCopper.value - freeCopper.truth)),
          medianCopperErrorPoints: points(({ copper }) => 100 * (copper.value - copper.truth)),
          medianDensityOnlyErrorPoints: points(
            ({ densityOnlyFreeCopper, freeCopper }) => 100 * (densityOnlyFreeCopper - freeCopper.truth),
          ),
          freeCopperIntervalsThatHold: own.filter(({ freeCopper }) => freeCopper.holds).length,
          copperIntervalsThatHold: own.filter(({ copper }) => copper.holds).length,
          medianIntervalWidthPoints: points(({ copper }) => 100 * (copper.high - copper.low)),
          recall: recallOf(own),
          medianSeconds: round(median(own.map(({ seconds }) => seconds))),
        },
      ];
    }),
  );
}

/** Share of each true class that is called so, and their mean over surface, copper, tinned, aluminium and insulation. */
function recallOf(lines: readonly Scored[]): object | undefined {
  const tables = lines.flatMap(({ table }) => table ?? []);
  if (tables.length === 0) return undefined;
  const recalls = Array.from({ length: ERROR_CLASSES }, (_, k) => {
    const rows = lines.flatMap(({ table }) => (table === undefined ? [] : [table[k]!]));
    const all = rows.flat().reduce((sum, count) => sum + count, 0);
    return all === 0 ? undefined : rows.reduce((sum, row) => sum + row[k]!, 0) / all;
  });
  const known = recalls.slice(0, 5).filter((recall) => recall !== undefined);
  return {
    balanced: round(known.reduce((sum, recall) => sum + recall, 0) / known.length),
    ...Object.fromEntries(['background', ...MATERIAL_CLASSES].map((name, k) => [name, round(recalls[k])])),
  };
}

function round(value: number | undefined): number | undefined {
  return value === undefined ? undefined : Math.round(value * 1000) / 1000;
}
