import { MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';

/**
 * Relative variance of each class's mass on one spread: the larger of the piece count's floor and the scatter between blocks.
 *
 * Counting n pieces of unequal mass gives sum(m^2) / sum(m)^2, the class's share of Gy's fundamental error for a liberated
 * mix. Blocks: squared residuals of the class's area against its mean share, over the total squared.
 *
 * @source Gy's fundamental sampling error in its two-part form, g (1-g) [(1-g) m1 + g m2] / M (derived); ratio estimator
 * variance: Cochran, Sampling Techniques, 3rd ed., 6.4 (from memory)
 */
export function samplingVarianceOf(
  reading: SpreadReading,
  material: Material,
): Readonly<Record<MaterialClass, number>> {
  const blockMass = reading.blocks.map((block) => MATERIAL_CLASSES.map((name) => nominalMassG(block, name, material)));
  const totals = MATERIAL_CLASSES.map((_, c) => blockMass.reduce((sum, mass) => sum + mass[c]!, 0));
  const all = totals.reduce((sum, mass) => sum + mass, 0);
  const filled = blockMass.filter((mass) => mass.some((grams) => grams > 0)).length;
  return Object.fromEntries(
    MATERIAL_CLASSES.map((name, c) => {
      const total = totals[c]!;
      const pieces = reading.pieces[name];
      if (total <= 0 || pieces.count === 0) return [name, 0];
      const floor = pieces.weightedMeanWidthAreaMm3 / (pieces.count * pieces.meanWidthAreaMm3);
      const share = total / all;
      let residual = 0;
      for (const mass of blockMass) {
        const blockAll = mass.reduce((sum, grams) => sum + grams, 0);
        residual += (mass[c]! - share * blockAll) ** 2;
      }
      const scatter = filled > 2 && share < 1 ? ((residual / total ** 2 / (1 - share)) * filled) / (filled - 1) : 0;
      return [name, Math.min(2, Math.max(floor, scatter))];
    }),
  ) as Record<MaterialClass, number>;
}

/** Mass of one class in a block at the best values of density and shape, grams. */
export function nominalMassG(block: SpreadReading['blocks'][number], name: MaterialClass, material: Material): number {
  const { densityKgPerM3, shape } = material.classes[name];
  const volume =
    shape.factor.value * block.widthAreaMm3[name] + (shape.sheetThicknessMm?.value ?? 0) * block.sheetAreaMm2[name];
  return volume * densityKgPerM3.value * 1e-6;
}
