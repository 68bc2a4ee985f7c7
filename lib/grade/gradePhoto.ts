import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { DEFAULT_SEED } from '../quantity/seededRandom';
import type { ErrorRatesByKind } from './errorRates';
import { type GradeTables, gradeProduct } from './gradeProduct';
import { drawSharedErrors, type SharedErrors } from './sharedErrors';

/**
 * Draws for a photo by itself. A 2.5 % limit of n normal draws has the standard error sqrt(p (1 - p) / n) / phi(z): of 1000 a fiftieth of
 * the interval's width, three times that still less than a tenth.
 *
 * @source standard error of a quantile: A. Stuart, K. Ord, Kendall's Advanced Theory of Statistics 1, 10.10 (from memory)
 */
export const PHOTO_DRAWS = 1000;

/** One photo graded by itself, as a spread of its own. */
export function gradePhoto(reading: SpreadReading, material: Material, errorRates: ErrorRatesByKind): GradeTables {
  return gradeProduct([[reading]], material, sharedBy(material, errorRates)).tables;
}

/** The errors last drawn for each material: photos that follow one another share them anyway. */
const lastDrawn = new WeakMap<Material, { readonly errorRates: ErrorRatesByKind; readonly shared: SharedErrors }>();

function sharedBy(material: Material, errorRates: ErrorRatesByKind): SharedErrors {
  const last = lastDrawn.get(material);
  if (last?.errorRates === errorRates) return last.shared;
  const shared = drawSharedErrors(material, errorRates, PHOTO_DRAWS, DEFAULT_SEED);
  lastDrawn.set(material, { errorRates, shared });
  return shared;
}
