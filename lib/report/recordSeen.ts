import { spreadSamplingOf } from '../grade/samplingPlan';
import { MATERIAL_CLASSES } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import type { PhotoWarning } from '../photo/photoWarning';
import type { CleanlinessRecord } from './recordSchema';

/**
 * How much of a product was looked at: granules, their area and about what they weigh.
 *
 * Several photos of one spread show the same pieces: their mean counts, once.
 *
 * @param spreads - one list a spread, one reading a photo; at least one of each
 */
export function amountsSeen(
  spreads: readonly (readonly SpreadReading[])[],
  material: Material,
): CleanlinessRecord['seen'] {
  const perSpread = (of: (reading: SpreadReading) => number) =>
    spreads.reduce((sum, photos) => sum + photos.reduce((total, one) => total + of(one), 0) / photos.length, 0);
  return {
    spreads: spreads.length,
    photos: spreads.reduce((sum, photos) => sum + photos.length, 0),
    granules: Math.round(
      perSpread(({ pieces }) => MATERIAL_CLASSES.reduce((sum, name) => sum + pieces[name].count, 0)),
    ),
    areaMm2: perSpread(({ blocks }) =>
      blocks.reduce((sum, { areaMm2 }) => sum + MATERIAL_CLASSES.reduce((all, name) => all + areaMm2[name], 0), 0),
    ),
    massG: spreads.length * spreadSamplingOf(spreads, material).spreadMassG,
  };
}

/** Warnings of a product's photos, each sentence once with the spreads it applies to: `Spreads 1, 3: ...`. */
export function warningsBySpread(
  photos: readonly { readonly spread: number; readonly warnings: readonly PhotoWarning[] }[],
): readonly string[] {
  const spreadsOf = new Map<string, Set<number>>();
  for (const { spread, warnings } of photos) {
    for (const { message } of warnings) spreadsOf.set(message, (spreadsOf.get(message) ?? new Set()).add(spread));
  }
  return [...spreadsOf].map(([message, spreads]) => {
    const places = [...spreads].sort((a, b) => a - b).join(', ');
    return `${spreads.size === 1 ? 'Spread' : 'Spreads'} ${places}: ${message}`;
  });
}
