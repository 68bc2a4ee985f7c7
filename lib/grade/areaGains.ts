import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import { MUCH_SHARE, type ReadingKind } from './errorRates';
import type { SharedErrors } from './sharedErrors';

/** Shares of the pieces between which a class goes from little to much: half and one and a half times `MUCH_SHARE`. */
const FROM_LITTLE = 0.5 * MUCH_SHARE;

/**
 * Factors from seen to true area for a spread's make-up, one a draw; a class between little and much of it lies between the two.
 *
 * @param seen - area seen of each class in the order of MATERIAL_CLASSES, any unit
 */
export function areaGainsOf(
  shared: SharedErrors,
  kind: ReadingKind,
  seen: readonly number[],
): Readonly<Record<MaterialClass, Float64Array>> {
  const [much, little] = [shared.areaGainOf(kind), shared.minorAreaGainOf(kind)];
  const all = seen.reduce((sum, area) => sum + area, 0);
  return perClass((name) => {
    const share = seen[MATERIAL_CLASSES.indexOf(name)]! / Math.max(all, 1e-9);
    const part = Math.min(1, Math.max(0, (share - FROM_LITTLE) / (2 * FROM_LITTLE)));
    if (part === 1) return much[name];
    return part === 0 ? little[name] : much[name].map((one, i) => part * one + (1 - part) * little[name][i]!);
  });
}
