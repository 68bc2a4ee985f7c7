import type { Material } from '../material/material';
import type { Quantity } from '../quantity/quantity';
import { type Check, checksOfKind, weighingU } from './checkEntry';

/** Copper share of a piece that still holds its core. @source core 1 mm in 2 mm of insulation, densities 8.96 and 1.40: geometry */
const CORED_PIECE = 0.68;

/**
 * Locked copper as a share of insulation pieces, cores included, from picks that were weighed, stripped and weighed again.
 *
 * Few pieces hold a core, so the number of picks rules the uncertainty: the binomial limit for pieces that are copper or not.
 * Half a cored piece is added, so that finding none is not taken for there being none.
 *
 * @returns undefined without such a check
 * @source binomial variance as an upper limit for shares between 0 and 1 (derived)
 */
export function strippedCopperOf(checks: readonly Check[]): Quantity | undefined {
  const strips = checksOfKind(checks, 'strip');
  if (strips.length === 0) return undefined;
  const picks = strips.reduce((sum, strip) => sum + strip.picks, 0);
  const before = strips.reduce((sum, strip) => sum + strip.before.massG, 0);
  const copper = strips.reduce((sum, strip) => sum + strip.copper.massG, 0);
  const piece = before / picks;
  const value = (copper + 0.5 * CORED_PIECE * piece) / (before + piece);
  const weighing = Math.hypot(...strips.flatMap((strip) => [weighingU(strip.copper), value * weighingU(strip.before)]));
  return { value, u: Math.hypot(Math.sqrt((value * (1 - value)) / picks), weighing / before) };
}

/** The material with its locked copper as the checks found it; the material itself without such a check. */
export function withStrippedCopper(material: Material, checks: readonly Check[]): Material {
  const stripped = strippedCopperOf(checks);
  return stripped === undefined ? material : { ...material, lockedCopperPerInsulation: stripped };
}
