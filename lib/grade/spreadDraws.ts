import { COMPONENTS, type Component, MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { taken } from '../quantity/draws';
import { type Random, seededRandom } from '../quantity/seededRandom';
import { areaGainsOf } from './areaGains';
import { ERROR_CLASSES } from './errorRates';
import { takeOffFalseCalls } from './falseCalls';
import { overlapByClass } from './overlap';
import { breadthU } from './rims';
import { samplingVarianceOf } from './samplingVariance';
import { shiftShares } from './sceneScatter';
import type { SharedErrors } from './sharedErrors';

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
  /** Mean mass of the component if every piece called so were one, grams: what the calls allow at most. */
  readonly calledMassG: Readonly<Record<Component, number>>;
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
 * were cut from sheet; mass is volume times density. Errors: class confusion (false calls taken off, missed pieces put back, shares
 * shifted where scenes scatter more), unjudged area (handed out at random), overlap, rims, density, thickness, and which pieces
 * happened to be scooped up. Causes in `shared.held` stay at their best value.
 *
 * @param purpose - names the product and the spread, so that the sampling errors of different spreads are independent
 * @param options.drawn - arrays to draw into, where what an earlier spread left in them is no longer needed
 * @param options.ofSpreads - how many spreads are added up: what is not known of rare pieces is shared out among them
 * @source mean thickness of lying solids: see lib/material/defaultMaterial.ts; sampling floor: Gy, see samplingVariance.ts
 */
export function drawSpread(
  reading: SpreadReading,
  material: Material,
  shared: SharedErrors,
  purpose: readonly string[],
  {
    drawn = spreadArrays(shared.draws),
    ofSpreads = 1,
  }: { readonly drawn?: SpreadArrays; readonly ofSpreads?: number } = {},
): SpreadDraws {
  const totals = perClass((name) => totalsOf(reading, name));
  const samplingVariance = samplingVarianceOf(reading, material);
  const fieldMm2 = reading.blocks.reduce((sum, block) => sum + block.fieldMm2, 0);
  const { seen, callInto } = callsOf(reading, totals, fieldMm2, shared, purpose, ofSpreads);
  const overlap = overlapByClass(reading, material);
  const { piled, order, merged } = shared.overlap;
  const scoops = scoopsOf(samplingVariance, shared, purpose);
  const called = new Float64Array(ERROR_CLASSES);
  const truth = new Float64Array(ERROR_CLASSES);
  const kind = `${reading.method}-${reading.surfaceKind}` as const;
  const tables = shared.ratesOf(kind);
  const gains = areaGainsOf(shared, kind, seen);
  const hasGain = shared.hasAreaGain(kind);
  const shift = shared.sceneShiftOf(kind);
  const areas = new Float64Array(MATERIAL_CLASSES.length);
  const blanks = COMPONENTS.map((component) => drawn.blankMm2[component]);
  const calledSum = new Float64Array(MATERIAL_CLASSES.length);
  // arrays by place, not by name: this loop runs draws x spreads x causes times
  const classes = MATERIAL_CLASSES.map((name) => ({
    area: drawn.areaFraction[name],
    mass: drawn.massG[name],
    equal: drawn.equalThicknessMassG[name],
    density: shared.densityKgPerM3[name],
    overlap: overlap[name],
    merged: merged[name],
    factor: shared.massFactor[name],
    shape: shared.shapeFactor[name],
    sheet: shared.sheetThicknessMm[name],
    ...thicknessPartsOf(totals, name),
    scoop: scoops[name],
    rim: shared.rims[name],
    rimSd: rimSdOf(reading, totals, material, name),
    gain: gains[name],
  }));

  for (let i = 0; i < shared.draws; i++) {
    callInto(called);
    const offset = i * ERROR_CLASSES ** 2;
    takeOffFalseCalls(called, tables, offset, truth, hasGain);
    for (let c = 0; c < blanks.length; c++)
      blanks[c]![i] = calledWithout(OWN_CODES[c]!, truth, tables, offset) * fieldMm2;
    for (let c = 0; c < classes.length; c++) {
      const one = classes[c]!;
      areas[c] = truth[c + 1]! * fieldMm2 * one.gain[i]! * one.scoop[i]!;
    }
    if (shift !== undefined) shiftShares(areas, shift.copper[i]!, shift.aluminium[i]!);
    let all = 0;
    for (let c = 0; c < classes.length; c++) {
      const one = classes[c]!;
      const areaMm2 = areas[c]!;
      const gramsPerMm3 = one.density[i]! * 1e-6;
      const thicknessMm = one.factor[i]! * (one.shape[i]! * one.widthMm + one.sheet[i]! * one.sheetShare);
      one.area[i] = areaMm2;
      const { level, tilted, own } = one.overlap;
      const hidden = piled[i]! * (level + order[i]! * tilted - one.merged[i]! * own);
      const broader = one.rimSd * (one.rim[i]! - 0.5 * one.rimSd);
      one.mass[i] = areaMm2 * thicknessMm * gramsPerMm3 * Math.exp(hidden + broader);
      one.equal[i] = areaMm2 * gramsPerMm3;
      calledSum[c]! += gramsPerMm3 * thicknessMm * one.gain[i]!;
      all += areaMm2;
    }
    for (let c = 0; c < classes.length; c++) classes[c]!.area[i] = all > 0 ? classes[c]!.area[i]! / all : 0;
  }
  const perComponent = (of: (name: MaterialClass) => number) =>
    Object.fromEntries(
      COMPONENTS.map((component) => [component, CLASSES_OF[component].reduce((sum, name) => sum + of(name), 0)]),
    ) as Record<Component, number>;
  return {
    ...drawn,
    samplingVariance,
    calledMm2: perComponent((name) => totals[name].areaMm2),
    // mean over the worlds of what the called area would weigh
    calledMassG: perComponent(
      (name) => (totals[name].areaMm2 * calledSum[MATERIAL_CLASSES.indexOf(name)]!) / shared.draws,
    ),
  };
}

/** The arrays that the draws of one spread lie in. */
export type SpreadArrays = Pick<SpreadDraws, 'areaFraction' | 'massG' | 'equalThicknessMassG' | 'blankMm2'>;

/** Arrays for the draws of a spread; one set can serve many spreads in turn, each overwriting the one before. */
export function spreadArrays(draws: number): SpreadArrays {
  return {
    areaFraction: emptyDraws(draws),
    massG: emptyDraws(draws),
    equalThicknessMassG: emptyDraws(draws),
    blankMm2: Object.fromEntries(COMPONENTS.map((component) => [component, new Float64Array(draws)])) as Record<
      Component,
      Float64Array
    >,
  };
}

function emptyDraws(draws: number): PerClass {
  return perClass(() => new Float64Array(draws));
}

/** Codes on an error table of the classes that speak for each component, in the order of COMPONENTS. */
const OWN_CODES = COMPONENTS.map((component) =>
  CLASSES_OF[component].map((name) => MATERIAL_CLASSES.indexOf(name) + 1),
);

/** Share of the field that would be called one of the component's classes although everything there is something else. */
function calledWithout(own: readonly number[], truth: Float64Array, rates: Float64Array, offset: number): number {
  let sum = 0;
  for (let o = 0; o < own.length; o++) {
    const j = own[o]!;
    for (let k = 0, at = offset + j; k < ERROR_CLASSES; k++, at += ERROR_CLASSES) sum += truth[k]! * rates[at]!;
    for (let q = 0; q < own.length; q++) sum -= truth[own[q]!]! * rates[offset + own[q]! * ERROR_CLASSES + j]!;
  }
  return sum;
}

/** With more pieces than this half a piece is under a fifth of a hundredth, and no longer drawn. */
const MANY_PIECES = 400;

/** Fills in the shares of the field as called (bare surface first) for the next draw: counting and unjudged area drawn. */
function callsOf(
  reading: SpreadReading,
  totals: Readonly<Record<MaterialClass, ClassTotals>>,
  fieldMm2: number,
  { seed, held }: SharedErrors,
  purpose: readonly string[],
  ofSpreads: number,
) {
  const counting = seededRandom(seed, 'half a piece', ...purpose);
  const shareOfHalf = counting.gammas(0.5 / ofSpreads);
  const seen = MATERIAL_CLASSES.map((name) => totals[name].areaMm2);
  const seenMm2 = seen.reduce((sum, area) => sum + area, 0);
  const unjudgedMm2 = reading.blocks.reduce((sum, block) => sum + block.unjudgedMm2, 0);
  const count = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
  // a piece of the class's own size, or, where none was seen, as chopping leaves them; no larger than pieces are here
  const meanMm2 = seenMm2 / Math.max(1, count);
  const pieceMm2 = MATERIAL_CLASSES.map((name, c) => {
    const own = reading.pieces[name].count;
    return Math.min(meanMm2, own > 0 ? seen[c]! / own : UNSEEN_PIECE[name].areaMm2);
  });
  const extra = Float64Array.from(seen, (area) => (0.5 * unjudgedMm2 * area) / Math.max(seenMm2, 1e-9));
  const handOut =
    unjudgedMm2 <= 0 || held.has('unjudged')
      ? undefined
      : handOutOf(seededRandom(seed, 'unjudged', ...purpose), seen, unjudgedMm2);
  const isCounted = held.has('sampling');
  const isMany = MATERIAL_CLASSES.map((name) => reading.pieces[name].count > MANY_PIECES);
  const callInto = (called: Float64Array): void => {
    handOut?.(extra);
    let pieces = 0;
    for (let c = 0; c < seen.length; c++) {
      // half a piece more or less of every class over all spreads (Jeffreys): none seen is not none there; gamma of shape 1/2
      const half =
        isCounted || isMany[c] ? 0.5 / ofSpreads : ofSpreads === 1 ? 0.5 * counting.normal() ** 2 : shareOfHalf();
      const share = (seen[c]! + half * pieceMm2[c]! + extra[c]!) / fieldMm2;
      called[c + 1] = share;
      pieces += share;
    }
    called[0] = Math.max(0, 1 - pieces);
  };
  return { seen, callInto };
}

/** What a class's thickness is made of: its mean width and sheet share. */
function thicknessPartsOf(totals: Readonly<Record<MaterialClass, ClassTotals>>, name: MaterialClass) {
  const { areaMm2, widthAreaMm3, sheetAreaMm2 } = totals[name];
  if (areaMm2 > 0) return { widthMm: widthAreaMm3 / areaMm2, sheetShare: sheetAreaMm2 / areaMm2 };
  const sumOf = (of: keyof ClassTotals) => MATERIAL_CLASSES.reduce((sum, one) => sum + totals[one][of], 0);
  const meanMm = sumOf('widthAreaMm3') / Math.max(sumOf('areaMm2'), 1e-9);
  return { widthMm: Math.min(meanMm, UNSEEN_PIECE[name].widthMm), sheetShare: 0 };
}

/** Standard deviation of the logarithm of a class's volume from where its pieces' rims lie; what was cut from sheet has none. */
function rimSdOf(
  { pixelMm = 0 }: SpreadReading,
  totals: Readonly<Record<MaterialClass, ClassTotals>>,
  material: Material,
  name: MaterialClass,
): number {
  const { widthMm, sheetShare } = thicknessPartsOf(totals, name);
  const { factor, sheetThicknessMm } = material.classes[name].shape;
  const byWidth = factor.value * widthMm;
  const bySheet = (sheetThicknessMm?.value ?? 1) * sheetShare;
  const ofWidth = breadthU(pixelMm, widthMm / Math.max(1e-9, 1 - sheetShare));
  return byWidth > 0 ? Math.sqrt(Math.log(1 + (ofWidth * (byWidth / (byWidth + bySheet))) ** 2)) : 0;
}

const METAL_PIECE = { widthMm: 0.6, areaMm2: 3 };
/**
 * What a piece would be like of a class that no piece was seen of.
 *
 * Metal: wire of 0.6 mm, the geometric middle of strands (0.2 mm) and house wiring (1.8 mm; IEC 60228, from memory), 5 mm long. The
 * rest: lumps that a granulator's screen leaves (common practice, no source).
 */
const UNSEEN_PIECE: Readonly<Record<MaterialClass, { readonly widthMm: number; readonly areaMm2: number }>> = {
  brightCopper: METAL_PIECE,
  tinnedCopper: METAL_PIECE,
  aluminium: METAL_PIECE,
  insulation: { widthMm: 2, areaMm2: 5 },
  other: { widthMm: 1.5, areaMm2: 2 },
};

/** Factors with mean one and the class's relative sampling variance, never negative: a gamma deviate, as a compound count of pieces has. */
function scoopsOf(
  samplingVariance: SpreadDraws['samplingVariance'],
  { draws, seed, held }: SharedErrors,
  purpose: readonly string[],
): PerClass {
  return perClass((name) => {
    if (samplingVariance[name] <= 0 || held.has('sampling')) return new Float64Array(draws).fill(1);
    const shape = 1 / samplingVariance[name];
    const factors = taken(draws, seededRandom(seed, 'scoop', name, ...purpose).gammas(shape));
    for (let i = 0; i < draws; i++) factors[i]! /= shape;
    return factors;
  });
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

/** Hands the unjudged area out among classes, draw by draw: mostly like the judged area, sometimes nearly all to one class. */
function handOutOf(random: Random, seen: readonly number[], unjudgedMm2: number): (into: Float64Array) => void {
  const total = seen.reduce((sum, area) => sum + area, 0);
  const weights = seen.map((area) => random.gammas(0.1 + (2 * area) / Math.max(total, 1e-9)));
  return (into) => {
    let all = 0;
    for (let c = 0; c < weights.length; c++) all += into[c] = weights[c]!();
    // part of what was not judged may be bare surface
    const particles = unjudgedMm2 * random.uniform();
    for (let c = 0; c < weights.length; c++) into[c] = all > 0 ? (into[c]! / all) * particles : 0;
  };
}
