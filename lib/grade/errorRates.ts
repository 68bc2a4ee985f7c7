import { z } from 'zod';
import { MATERIAL_CLASSES } from '../material/classes';

/** True classes and called classes of an error table: the bare surface first, then the material classes. */
export const SURFACE_AND_CLASSES = ['background', ...MATERIAL_CLASSES] as const;
export const ERROR_CLASSES = SURFACE_AND_CLASSES.length;

const row = z.array(z.number().min(0)).length(ERROR_CLASSES);

/**
 * How often a pixel of one true class is called another, measured on pictures with truth that were not used to make the
 * method.
 *
 * `rate[k][j]` is the mean share of true class k called j, `logSd[k][j]` the scatter of its logarithm from scene to scene:
 * light, colours and tarnish differ, so the rates of the next photo are drawn, not known.
 */
export const errorRatesSchema = z
  .object({
    source: z.string().min(1),
    scenes: z.number().int().positive(),
    rate: z.array(row).length(ERROR_CLASSES),
    logSd: z.array(row).length(ERROR_CLASSES),
  })
  .readonly();
export type ErrorRates = z.infer<typeof errorRatesSchema>;

/** How a photo was read: error rates are known apart for each method on mats (light known) and on plain trays. */
export const READING_KINDS = ['threshold-mat', 'threshold-tray', 'model-mat', 'model-tray'] as const;
export type ReadingKind = (typeof READING_KINDS)[number];
export const errorRatesByKindSchema = z.object(
  Object.fromEntries(READING_KINDS.map((kind) => [kind, errorRatesSchema])) as Record<
    ReadingKind,
    typeof errorRatesSchema
  >,
);
export type ErrorRatesByKind = Readonly<z.infer<typeof errorRatesByKindSchema>>;

/**
 * Fit error rates to one error table per scene.
 *
 * A rate is pooled over scenes; its scatter is the between-scene standard deviation of the log rate after the counting part is
 * taken off. Pixels of a piece are called alike, so a piece of some `pixelsPerPiece` pixels counts as one.
 *
 * @param tables - per scene: rows true class, columns called class, pixel counts
 * @source random-effects variance by moments: DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177 (from memory)
 */
export function fitErrorRates(
  tables: readonly (readonly (readonly number[])[])[],
  pixelsPerPiece: number,
  source: string,
): ErrorRates {
  if (tables.length < 2) throw new RangeError(`fitErrorRates needs two scenes or more, got ${tables.length}`);
  const rate: number[][] = [];
  const logSd: number[][] = [];
  for (let k = 0; k < ERROR_CLASSES; k++) {
    rate.push([]);
    logSd.push([]);
    for (let j = 0; j < ERROR_CLASSES; j++) {
      const scenes = tables.map((table) => {
        const cells = table[k] ?? [];
        return {
          called: (cells[j] ?? 0) / pixelsPerPiece,
          all: cells.reduce((sum, cell) => sum + cell, 0) / pixelsPerPiece,
        };
      });
      const all = scenes.reduce((sum, scene) => sum + scene.all, 0);
      const called = scenes.reduce((sum, scene) => sum + scene.called, 0);
      // half a piece: a rate that was never seen is small, not nought
      rate[k]?.push((called + (j === k ? 0 : 0.5 / ERROR_CLASSES)) / (all + 0.5));
      logSd[k]?.push(logScatter(scenes.filter((scene) => scene.all >= 20)));
    }
  }
  return { source, scenes: tables.length, rate, logSd };
}

/** Between-scene standard deviation of ln(rate), counting scatter removed; at least 0.3 since few scenes say little. */
function logScatter(scenes: readonly { readonly called: number; readonly all: number }[]): number {
  const smallest = 0.3;
  const fallback = 1;
  if (scenes.length < 3) return fallback;
  const logs = scenes.map(({ called, all }) => Math.log((called + 0.5) / (all + 1)));
  const mean = logs.reduce((sum, value) => sum + value, 0) / logs.length;
  const total = logs.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (logs.length - 1);
  const counting = scenes.reduce((sum, { called }) => sum + 1 / (called + 0.5), 0) / scenes.length;
  return Math.max(smallest, Math.sqrt(Math.max(0, total - counting)));
}
