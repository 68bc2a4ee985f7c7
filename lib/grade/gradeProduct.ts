import {
  COMPONENTS,
  type Component,
  GRADED,
  type Graded,
  MATERIAL_CLASSES,
  type MaterialClass,
  perClass,
} from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { estimateOf, quantileWithin } from '../quantity/estimateOf';
import { meanOf } from '../quantity/moments';
import type { Estimate } from '../quantity/quantity';
import { seededRandom } from '../quantity/seededRandom';
import { classShareDraws, type GradeDraws, gradeDrawsOf } from './gradeDraws';
import { lockedIsChecked } from './lockedCopper';
import type { SharedErrors } from './sharedErrors';
import { drawSpread, type SpreadArrays, type SpreadDraws, spreadArrays } from './spreadDraws';

type ClassDraws = Readonly<Record<MaterialClass, Float64Array>>;

/** The four tables of a photo or of a product, as screen, command line and export show them. */
export interface GradeTables {
  /** Shares of all pieces' area. */
  readonly areaFraction: Readonly<Record<MaterialClass, Estimate>>;
  /** Shares of mass by class, locked copper not counted. */
  readonly classMassFraction: Readonly<Record<MaterialClass, Estimate>>;
  /** Shares of dry mass; copper includes the copper estimated to be locked in insulation, freeCopper does not. */
  readonly massFraction: Readonly<Record<Graded, Estimate>>;
  /** The same if all pieces were equally thick and nothing were locked: area times density. */
  readonly densityOnlyMassFraction: Readonly<Record<Graded, Estimate>>;
}

/** A product's grade: tables to show, draws to reckon on with. */
export interface ProductGrade {
  readonly tables: GradeTables;
  readonly draws: GradeDraws;
}

/**
 * Grade of one product from the readings of its spreads (or of a single photo: one spread of one reading).
 *
 * Masses of the spreads are added, never their ratios averaged; several photos of one spread are averaged, since they
 * show the same pieces. Where the spreads scatter more than their sampling explains, the excess widens the interval
 * (DerSimonian and Laird's between-spread variance of the log mass ratio).
 *
 * @param spreads - one list a spread, one reading a photo; at least one of each
 * @param productName - differs from product to product, so that their sampling errors are independent
 * @throws RangeError when there is no reading
 */
export function gradeProduct(
  spreads: readonly (readonly SpreadReading[])[],
  material: Material,
  shared: SharedErrors,
  productName: string,
): ProductGrade {
  if (spreads.length === 0 || spreads.some((photos) => photos.length === 0)) {
    throw new RangeError('gradeProduct needs at least one spread, and one reading in each');
  }
  const sums = spreadArrays(shared.draws);
  const scratch = spreadArrays(shared.draws);
  const told: ToldSpread[] = [];
  for (const [s, photos] of spreads.entries()) {
    for (const reading of photos) {
      const spread = drawSpread(reading, material, shared, [productName, String(s)], {
        drawn: scratch,
        ofSpreads: spreads.length,
      });
      told.push({
        samplingVariance: spread.samplingVariance,
        calledMm2: spread.calledMm2,
        calledMassG: spread.calledMassG,
        meanMassG: MATERIAL_CLASSES.map((name) => meanOf(spread.massG[name])),
      });
      addTo(sums, spread, photos.length);
    }
  }
  widenBetween(sums.massG, excessScatter(told), spreads.length, shared, productName);
  const draws = gradeDrawsOf(sums.massG, shared, lockedIsChecked(material) ? 'checked' : 'default');
  const densityOnly = gradeDrawsOf(sums.equalThicknessMassG, shared, 'none');
  const missing = belowDetection(told, sums.blankMm2, countPieces(spreads));
  return {
    draws,
    tables: {
      areaFraction: estimates(MATERIAL_CLASSES, classShareDraws(sums.areaFraction, shared.draws)),
      classMassFraction: estimates(MATERIAL_CLASSES, classShareDraws(sums.massG, shared.draws)),
      massFraction: estimates(GRADED, draws, missing),
      densityOnlyMassFraction: estimates(GRADED, densityOnly, missing),
    },
  };
}

/** What is kept of a photo's draws once they are added to the product's. */
interface ToldSpread extends Pick<SpreadDraws, 'samplingVariance' | 'calledMm2' | 'calledMassG'> {
  /** Mean mass of each class, in the order of MATERIAL_CLASSES. */
  readonly meanMassG: readonly number[];
}

/** Add one photo's draws to the product's; several photos of one spread count as one together. Blanks are compared as called, photo by photo. */
function addTo(sums: SpreadArrays, spread: SpreadArrays, photos: number): void {
  for (const name of MATERIAL_CLASSES) {
    addShare(sums.areaFraction[name], spread.areaFraction[name], photos);
    addShare(sums.massG[name], spread.massG[name], photos);
    addShare(sums.equalThicknessMassG[name], spread.equalThicknessMassG[name], photos);
  }
  for (const component of COMPONENTS) addShare(sums.blankMm2[component], spread.blankMm2[component], 1);
}

function addShare(sum: Float64Array, own: Float64Array, parts: number): void {
  for (let i = 0; i < sum.length; i++) sum[i]! += own[i]! / parts;
}

/** Means (they add up) with the draws' own quantiles; what is below its detection limit starts at nought and ends at `missing`. */
function estimates<Name extends string>(
  names: readonly Name[],
  draws: Readonly<Record<Name, Float64Array>>,
  missing?: ReadonlyMap<string, number>,
): Readonly<Record<Name, Estimate>> {
  return Object.fromEntries(
    names.map((name) => {
      const mean = meanOf(draws[name]);
      const estimate = estimateOf(draws[name], mean);
      const low = Math.min(estimate.low, mean);
      const high = Math.max(estimate.high, mean);
      const most = missing?.get(name);
      return [
        name,
        most === undefined
          ? { value: mean, low, high }
          : { value: mean, low: 0, high: Math.max(high, most), belowDetectionLimit: true },
      ];
    }),
  ) as Record<Name, Estimate>;
}

/**
 * Components whose called area a blank of the same make-up could show as well (Currie's critical level, 5 % false alarms), with
 * the share that the product could hold at most: what it is if every one of those calls is real, and never less than what counting
 * leaves open. None among n pieces still leaves 3 in n, 95 times in 100.
 *
 * Limit: a piece that was not met is taken to weigh what the pieces that were met weigh on average.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586; the blank's scatter comes from the drawn error rates. Three in n: Hanley and
 *   Lippman-Hand, JAMA 249 (1983) 1743 (from memory)
 */
function belowDetection(
  spreads: readonly ToldSpread[],
  blankMm2: SpreadArrays['blankMm2'],
  pieces: number,
): ReadonlyMap<Graded, number> {
  const below = new Map<Graded, number>();
  const sumOf = (of: (spread: ToldSpread) => number) => spreads.reduce((total, spread) => total + of(spread), 0);
  const uncounted = 3 / Math.max(1, pieces);
  const totalG = sumOf(({ meanMassG }) => meanMassG.reduce((total, grams) => total + grams, 0));
  for (const component of COMPONENTS) {
    const blank = blankMm2[component].slice();
    if (sumOf(({ calledMm2 }) => calledMm2[component]) > quantileWithin(blank, blank.length, 0.95)) continue;
    const called = sumOf(({ calledMassG }) => calledMassG[component]) / Math.max(totalG, 1e-12);
    const most = Math.min(1, Math.max(called, uncounted));
    below.set(component, most);
    if (component === 'copper') below.set('freeCopper', most);
  }
  return below;
}

/** Pieces that were looked at; several photos of one spread show the same ones. */
function countPieces(spreads: readonly (readonly SpreadReading[])[]): number {
  const piecesOn = ({ pieces }: SpreadReading) => MATERIAL_CLASSES.reduce((sum, name) => sum + pieces[name].count, 0);
  return spreads.reduce((sum, photos) => sum + Math.max(...photos.map(piecesOn)), 0);
}

/** Scatter each class's mass by what spreads scatter beyond their sampling. */
function widenBetween(
  massG: ClassDraws,
  excess: Readonly<Record<MaterialClass, number>>,
  spreads: number,
  { seed, draws, held }: SharedErrors,
  productName: string,
): void {
  for (const name of MATERIAL_CLASSES) {
    const sd = held.has('sampling') ? 0 : Math.sqrt(excess[name] / spreads);
    if (sd === 0) continue;
    const random = seededRandom(seed, 'between spreads', name, productName);
    for (let i = 0; i < draws; i++) massG[name][i]! *= Math.exp(sd * random.normal());
  }
}

/** Between-spread variance of each class's log mass ratio beyond what counting pieces and blocks explains. */
function excessScatter(spreads: readonly ToldSpread[]): Readonly<Record<MaterialClass, number>> {
  return perClass((name) => {
    const c = MATERIAL_CLASSES.indexOf(name);
    const points = spreads.flatMap(({ meanMassG, samplingVariance }) => {
      const own = meanMassG[c]!;
      const rest = meanMassG.reduce((total, mass) => total + mass, 0) - own;
      return own > 0 && rest > 0 ? [{ logRatio: Math.log(own / rest), variance: samplingVariance[name] + 1e-6 }] : [];
    });
    return betweenVariance(points);
  });
}

/** @source DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177 (from memory) */
function betweenVariance(points: readonly { readonly logRatio: number; readonly variance: number }[]): number {
  if (points.length < 2) return 0;
  const weights = points.map(({ variance }) => 1 / variance);
  const sum = weights.reduce((total, weight) => total + weight, 0);
  const mean = points.reduce((total, { logRatio }, s) => total + weights[s]! * logRatio, 0) / sum;
  const q = points.reduce((total, { logRatio }, s) => total + weights[s]! * (logRatio - mean) ** 2, 0);
  const spreadOfWeights = sum - weights.reduce((total, weight) => total + weight ** 2, 0) / sum;
  return Math.max(0, (q - (points.length - 1)) / spreadOfWeights);
}

/** A product's component draws in the shape the balance takes. */
export function componentDraws(grade: ProductGrade): Readonly<Record<Component, Float64Array>> {
  const { copper, aluminium, insulation, other } = grade.draws;
  return { copper, aluminium, insulation, other };
}
