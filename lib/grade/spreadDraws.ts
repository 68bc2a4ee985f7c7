import { COMPONENTS, type Component, MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { type Random, seededRandom } from '../quantity/seededRandom';
import { ERROR_CLASSES } from './errorRates';
import type { SharedErrors } from './sharedErrors';
import { unfold } from './unfold';

type PerClass = Readonly<Record<MaterialClass, Float64Array>>;

/** Draws of what lies on one photographed spread; index i is the same world as in the shared errors. */
export interface SpreadDraws {
  /** Projected area of each class over the area of all pieces, corrected for known error rates; the five sum to one. */
  readonly areaFraction: PerClass;
  /** Mass per class in grams as far as the areas tell (locked copper not counted). */
  readonly massG: PerClass;
  /** Mass per class if all pieces were equally thick: area times density, in grams per millimetre of thickness. */
  readonly equalThicknessMassG: PerClass;
  /** Relative variance of each class's mass from counting pieces and from the scatter between blocks of the field. */
  readonly samplingVariance: Readonly<Record<MaterialClass, number>>;
  /** Area called a component's classes, mm2, before error rates are taken off. */
  readonly calledMm2: Readonly<Record<Component, number>>;
  /** Area that would be called so if the spread held none of the component, mm2: what a blank of this make-up would show. */
  readonly blankMm2: Readonly<Record<Component, Float64Array>>;
}

/** The classes whose area speaks for a component. */
export const CLASSES_OF: Readonly<Record<Component, readonly MaterialClass[]>> = {
  copper: ['brightCopper', 'tinnedCopper'],
  aluminium: ['aluminium'],
  insulation: ['insulation'],
  other: ['other'],
};

/** Sums of one class over the whole field. */
interface ClassTotals {
  readonly areaMm2: number;
  readonly widthAreaMm3: number;
  readonly sheetAreaMm2: number;
}

/**
 * What one spread may hold, given its areas and widths and all their errors.
 *
 * Volume of a class is its thickness factor times the sum of local width times area, or sheet thickness times area where pieces
 * were cut from sheet; mass is volume times density. Errors: class confusion (unfolded), unjudged area (handed out at random),
 * overlap, density, thickness, and which pieces happened to be scooped up.
 *
 * @param purpose - names the product and the spread, so that the sampling errors of different spreads are independent
 * @source mean thickness of lying solids: see lib/material/defaultMaterial.ts; sampling floor: Gy, see samplingVariance.ts
 */
export function drawSpread(
  reading: SpreadReading,
  material: Material,
  shared: SharedErrors,
  purpose: readonly string[],
): SpreadDraws {
  const random = seededRandom(shared.seed, 'spread', ...purpose);
  const totals = perClass((name) => totalsOf(reading, name));
  const samplingVariance = samplingVarianceOf(reading, material);
  const empty = () => perClass(() => new Float64Array(shared.draws));
  const [areaFraction, massG, equalThicknessMassG] = [empty(), empty(), empty()];
  const fieldMm2 = reading.blocks.reduce((sum, block) => sum + block.fieldMm2, 0);
  const unjudgedMm2 = reading.blocks.reduce((sum, block) => sum + block.unjudgedMm2, 0);
  const seen = MATERIAL_CLASSES.map((name) => totals[name].areaMm2);
  const seenMm2 = seen.reduce((sum, area) => sum + area, 0);
  const pieceMm2 =
    seenMm2 /
    Math.max(
      1,
      MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0),
    );
  const anyWidthMm =
    MATERIAL_CLASSES.reduce((sum, name) => sum + totals[name].widthAreaMm3, 0) / Math.max(seenMm2, 1e-9);
  const overlap = overlapFactor(seenMm2 / Math.max(fieldMm2, seenMm2));
  const called = new Float64Array(ERROR_CLASSES);
  const truth = new Float64Array(ERROR_CLASSES);
  const size = ERROR_CLASSES ** 2;
  const tables = shared.rates[`${reading.method}-${reading.surfaceKind}`];
  const blankMm2 = Object.fromEntries(
    COMPONENTS.map((component) => [component, new Float64Array(shared.draws)]),
  ) as Record<Component, Float64Array>;

  for (let i = 0; i < shared.draws; i++) {
    const extra = unjudgedMm2 > 0 ? handOut(random, seen, unjudgedMm2) : undefined;
    let pieces = 0;
    for (let c = 0; c < MATERIAL_CLASSES.length; c++) {
      // half a piece more or less of every class: none seen is not none there
      called[c + 1] = (seen[c]! + random.gamma(0.5) * pieceMm2 + (extra?.[c] ?? 0)) / fieldMm2;
      pieces += called[c + 1]!;
    }
    called[0] = Math.max(0, 1 - pieces);
    const rates = tables.subarray(i * size, (i + 1) * size);
    unfold(called, rates, truth);
    for (const component of COMPONENTS) blankMm2[component][i] = calledWithout(component, truth, rates) * fieldMm2;
    let all = 0;
    MATERIAL_CLASSES.forEach((name, c) => {
      const total = totals[name];
      const relativeVariance = samplingVariance[name];
      const areaMm2 = truth[c + 1]! * fieldMm2 * scooped(random, relativeVariance);
      const hidden = overlap ** shared.hidden[name][i]!;
      // pieces handed from one class to another take the mean width of the class they join, or any width where none was seen
      const meanThicknessMm =
        total.areaMm2 > 0
          ? (shared.shapeFactor[name][i]! * total.widthAreaMm3 +
              shared.sheetThicknessMm[name][i]! * total.sheetAreaMm2) /
            total.areaMm2
          : shared.shapeFactor[name][i]! * anyWidthMm;
      const volumeMm3 = areaMm2 * meanThicknessMm;
      const gramsPerMm3 = shared.densityKgPerM3[name][i]! * 1e-6;
      areaFraction[name][i] = areaMm2;
      massG[name][i] = volumeMm3 * gramsPerMm3 * hidden;
      equalThicknessMassG[name][i] = areaMm2 * gramsPerMm3;
      all += areaMm2;
    });
    for (const name of MATERIAL_CLASSES) areaFraction[name][i] = all > 0 ? areaFraction[name][i]! / all : 0;
  }
  const calledMm2 = Object.fromEntries(
    COMPONENTS.map((component) => [
      component,
      CLASSES_OF[component].reduce((sum, name) => sum + totals[name].areaMm2, 0),
    ]),
  ) as Record<Component, number>;
  return { areaFraction, massG, equalThicknessMassG, samplingVariance, calledMm2, blankMm2 };
}

/** Share of the field that would be called one of the component's classes although everything there is something else. */
function calledWithout(component: Component, truth: Float64Array, rates: Float64Array): number {
  const own = CLASSES_OF[component].map((name) => MATERIAL_CLASSES.indexOf(name) + 1);
  let sum = 0;
  for (let k = 0; k < ERROR_CLASSES; k++) {
    if (own.includes(k)) continue;
    for (const j of own) sum += truth[k]! * rates[k * ERROR_CLASSES + j]!;
  }
  return sum;
}

function totalsOf(reading: SpreadReading, name: MaterialClass): ClassTotals {
  let [areaMm2, widthAreaMm3, sheetAreaMm2] = [0, 0, 0];
  for (const block of reading.blocks) {
    areaMm2 += block.areaMm2[name];
    widthAreaMm3 += block.widthAreaMm3[name];
    sheetAreaMm2 += block.sheetAreaMm2[name];
  }
  return { areaMm2, widthAreaMm3, sheetAreaMm2 };
}

/**
 * True area over seen area if pieces were dropped at random; spreading by hand overlaps less, so this is the upper mark.
 *
 * @param covered - share of the field covered, 0 to 1
 * @source Boolean model: covered = 1 - exp(-x), factor x / covered; values 1.05 at 0.10, 1.19 at 0.30, 1.39 at 0.50
 */
export function overlapFactor(covered: number): number {
  if (covered <= 0) return 1;
  const share = Math.min(covered, 0.95);
  return -Math.log(1 - share) / share;
}

/** Factor with mean one and the given relative variance, never negative: a gamma deviate, as a compound count of pieces has. */
function scooped(random: Random, relativeVariance: number): number {
  if (relativeVariance <= 0) return 1;
  const shape = 1 / relativeVariance;
  return random.gamma(shape) / shape;
}

/** Hand the unjudged area out among classes: mostly like the judged area, sometimes nearly all to one class. */
function handOut(random: Random, seen: readonly number[], unjudgedMm2: number): number[] {
  const total = seen.reduce((sum, area) => sum + area, 0);
  const weights = seen.map((area) => random.gamma(0.1 + (2 * area) / Math.max(total, 1e-9)));
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  // part of what was not judged may be bare surface
  const particles = unjudgedMm2 * random.uniform();
  return weights.map((weight) => (all > 0 ? (weight / all) * particles : 0));
}

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

function nominalMassG(block: SpreadReading['blocks'][number], name: MaterialClass, material: Material): number {
  const { densityKgPerM3, shape } = material.classes[name];
  const volume =
    shape.factor.value * block.widthAreaMm3[name] + (shape.sheetThicknessMm?.value ?? 0) * block.sheetAreaMm2[name];
  return volume * densityKgPerM3.value * 1e-6;
}
