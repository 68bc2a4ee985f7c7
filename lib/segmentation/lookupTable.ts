import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { type Ellipsoid, ellipsoidOf } from '../material/ellipsoid';
import type { ColourPatch, Material } from '../material/material';
import { CELLS, type CellCounts, STEPS } from './cells';
import { expectationOf } from './expectShares';
import type { SharedPatch } from './surfaceColour';

/**
 * How common surface and classes are among pixels before a photo is looked at, by class code: rounded shares over 110 close-ups
 * of all kinds of product (models/CARD.md). Tinned wire and aluminium are rare; told nothing, their greys would take over shaded
 * paper and copper's shine.
 */
const CLASS_SHARES = [0.614, 0.1, 0.04, 0.04, 0.2, 0.006];
/**
 * Weight of those shares when they are fitted to a photo, as a part of the photo's pixels. Chosen by area errors among 0.02, 0.1,
 * 0.3, 1 and 3 on the 110 close-ups; confirmed on whole trays that played no part in it.
 */
const PRIOR_WEIGHT = 0.3;
const ROUNDS = 25;
/**
 * Share of steel, grit and dirt among the pieces: taken as given, since their dull greys fit every shadow and would draw
 * shares to themselves. Some per cent at most in this trade (common practice, no source).
 */
const OTHER_SHARE = 0.02;

/** Class codes of the colour cube's cells for one photo. */
export interface LookupTable {
  /** Class code of each cell; cells without pixels are UNJUDGED. */
  readonly code: Uint8Array;
  /** Shares of background and classes in the field as the colours fit best, by class code. */
  readonly shares: Float64Array;
  /** Natural log-odds of bright copper against insulation in steps of `LOG_STEPS_PER_E`, by cell; at most 127 either way. */
  readonly copperOverInsulation: Int8Array;
}

/** Steps in which log-odds are kept, to the unit of the natural logarithm. */
export const LOG_STEPS_PER_E = 16;

/** One colour with what class it stands for. */
export interface Colour {
  readonly code: number;
  readonly share: number;
  readonly ellipsoid: Ellipsoid;
}

/**
 * Compile a material's colours and the surface's own into a table from colour cell to class code.
 *
 * Every colour is a normal distribution in CIELAB. How common each is on this photo is fitted first (expectation and
 * maximisation on the counts of the cells, with a weak prior at the material's shares), so that a product without copper
 * does not find some in every brownish pixel. Then a cell gets the class with the largest summed density; a cell farther
 * than `material.farthestDistance` standard deviations from every colour stays unjudged.
 *
 * @source A. Dempster, N. Laird, D. Rubin, J. R. Stat. Soc. B 39 (1977) 1; priors fitted on unlabelled data: M. Saerens,
 *   P. Latinne, C. Decaestecker, Neural Computation 14 (2002) 21 (from memory)
 */
export function compileLookupTable(
  cells: CellCounts,
  surface: readonly SharedPatch[],
  material: Material,
): LookupTable {
  const colours = coloursOf(surface, material);
  const { used } = cells;
  const { first, colour, density, near } = densities(cells.cielab, colours, material.farthestDistance);
  const weights = fitShares(colours, coarseCounts(cells), { first, colour, density });
  const code = new Uint8Array(CELLS).fill(UNJUDGED);
  const copperOverInsulation = new Int8Array(CELLS);
  const codes = Uint8Array.from(colours, (one) => one.code);
  const sums = new Float64Array(MATERIAL_CLASSES.length + 1);
  const shares = new Float64Array(MATERIAL_CLASSES.length + 1);
  const told = { codes, weights, first, colour, density };
  for (let k = 0; k < used.length; k++) {
    if (near[k] === 0) continue;
    sumByClass(told, k, sums);
    code[used[k]!] = likeliestOf(sums);
    copperOverInsulation[used[k]!] = copperLog(sums);
  }
  for (let c = 0; c < codes.length; c++) shares[codes[c]!]! += weights[c]!;
  return { code, shares, copperOverInsulation };
}

/** Densities at place `k`, weighted and summed by class code. Hot loop: it runs over places x colours. */
function sumByClass(
  {
    codes,
    weights,
    first,
    colour,
    density,
  }: Omit<Densities, 'near'> & { readonly codes: Uint8Array; readonly weights: Float64Array },
  k: number,
  sums: Float64Array,
): void {
  sums.fill(0);
  for (let i = first[k]!; i < first[k + 1]!; i++) sums[codes[colour[i]!]!]! += weights[colour[i]!]! * density[i]!;
}

function likeliestOf(sums: Float64Array): number {
  let best = 0;
  for (let c = 1; c < sums.length; c++) if (sums[c]! > sums[best]!) best = c;
  return best;
}

function copperLog(sums: Float64Array): number {
  const odds = (sums[CLASS_CODE.brightCopper]! + 1e-9) / (sums[CLASS_CODE.insulation]! + 1e-9);
  return Math.max(-127, Math.min(127, Math.trunc(LOG_STEPS_PER_E * Math.log(odds))));
}

/** The surface's and the classes' colours, each with its share before the photo is looked at. */
export function coloursOf(surface: readonly SharedPatch[], material: Material): Colour[] {
  const of = (code: number, patches: readonly ColourPatch[]): Colour[] => {
    const shares = patches.map(({ share }) => share ?? 1 / patches.length);
    const sum = shares.reduce((all, share) => all + share, 0);
    return patches.map((patch, k) => ({
      code,
      share: (CLASS_SHARES[code]! * shares[k]!) / sum,
      ellipsoid: ellipsoidOf(patch),
    }));
  };
  return [
    ...of(BACKGROUND, surface),
    ...MATERIAL_CLASSES.flatMap((name) => of(CLASS_CODE[name], material.classes[name].colours)),
  ];
}

/** Logarithm of the density ratio below which a colour plays no part. */
export const NEGLIGIBLE = -30;

/** Densities of colours at places: those that play a part at place k are numbers `first[k]` to `first[k + 1]` (not included). */
export interface Densities {
  readonly first: Int32Array;
  readonly colour: Uint8Array;
  /** Scaled per place so that the largest is 1. */
  readonly density: Float64Array;
  /** 1 where any colour is near. */
  readonly near: Uint8Array;
}

/**
 * Density of each colour at each place, and whether any colour is near.
 *
 * @param cielab - L, a, b of each place
 */
function densities(cielab: Float64Array, colours: readonly Colour[], farthest: number): Densities {
  const places = cielab.length / 3;
  const n = colours.length;
  const first = new Int32Array(places + 1);
  const colour = new Uint8Array(places * n);
  const density = new Float64Array(places * n);
  const near = new Uint8Array(places);
  const logs = new Float64Array(n);
  const ellipsoids = Float64Array.from(colours.flatMap(({ ellipsoid: e }) => [e.L, e.a, e.b, ...e.inverse, e.logDet]));
  const farthestSquared = farthest * farthest;
  let count = 0;
  for (let k = 0; k < places; k++) {
    near[k] = logsAt(cielab, k, ellipsoids, farthestSquared, logs);
    count = keepDensities(logs, colour, density, count);
    first[k + 1] = count;
  }
  return { first, colour, density, near };
}

/** Appends the colours that play a part by their log densities, from entry `count` on; returns where the next are to go. */
function keepDensities(logs: Float64Array, colour: Uint8Array, density: Float64Array, count: number): number {
  let largest = Number.NEGATIVE_INFINITY;
  for (let c = 0; c < logs.length; c++) largest = Math.max(largest, logs[c]!);
  let kept = count;
  // Hot loop.
  for (let c = 0; c < logs.length; c++) {
    const log = logs[c]! - largest;
    if (log < NEGLIGIBLE) continue;
    colour[kept] = c;
    density[kept++] = Math.exp(log);
  }
  return kept;
}

/** Numbers a colour: its middle, the upper half of its inverse covariance and the determinant's logarithm. */
const ELLIPSOID = 10;

/**
 * Log densities of the colours at place `k`; squared distances as in lib/material/ellipsoid.ts.
 *
 * @returns 1 where any colour is near, else 0
 */
function logsAt(
  cielab: Float64Array,
  k: number,
  ellipsoids: Float64Array,
  farthestSquared: number,
  logs: Float64Array,
): number {
  const L = cielab[3 * k]!;
  const a = cielab[3 * k + 1]!;
  const b = cielab[3 * k + 2]!;
  let near = 0;
  // Hot loop.
  for (let c = 0, e = 0; c < logs.length; c++, e += ELLIPSOID) {
    const x = L - ellipsoids[e]!;
    const y = a - ellipsoids[e + 1]!;
    const z = b - ellipsoids[e + 2]!;
    const squared =
      x * (ellipsoids[e + 3]! * x + 2 * (ellipsoids[e + 4]! * y + ellipsoids[e + 5]! * z)) +
      y * (ellipsoids[e + 6]! * y + 2 * ellipsoids[e + 7]! * z) +
      ellipsoids[e + 8]! * z * z;
    if (squared <= farthestSquared) near = 1;
    logs[c] = -0.5 * (squared + ellipsoids[e + 9]!);
  }
  return near;
}

/**
 * Counts on a cube of half the steps, each coarse cell standing where its fullest fine cell is: shares need no finer one,
 * and there are five times fewer.
 */
export function coarseCounts({ count, used }: CellCounts): {
  readonly pixels: Float64Array;
  /** Places among the used cells. */
  readonly places: Int32Array;
} {
  const half = STEPS / 2;
  const sums = new Float64Array(half ** 3);
  const fullest = new Int32Array(half ** 3).fill(-1);
  for (let k = 0; k < used.length; k++) {
    const cell = used[k]!;
    const coarse = coarseOf(cell);
    sums[coarse]! += count[cell]!;
    const so = fullest[coarse]!;
    if (so === -1 || count[cell]! > count[used[so]!]!) fullest[coarse] = k;
  }
  return filled(sums, fullest);
}

/** The sums above nought with their places. */
function filled(sums: Float64Array, fullest: Int32Array): { pixels: Float64Array; places: Int32Array } {
  const pixels = new Float64Array(sums.length);
  const places = new Int32Array(sums.length);
  let count = 0;
  for (let k = 0; k < sums.length; k++) {
    if (fullest[k]! < 0) continue;
    pixels[count] = sums[k]!;
    places[count++] = fullest[k]!;
  }
  return { pixels: pixels.slice(0, count), places: places.slice(0, count) };
}

/** The cell of half the steps that holds a cell. */
function coarseOf(cell: number): number {
  const half = STEPS / 2;
  const red = Math.floor(cell / STEPS ** 2) >> 1;
  const green = (Math.floor(cell / STEPS) % STEPS) >> 1;
  return (red * half + green) * half + ((cell % STEPS) >> 1);
}

/** How common each colour is on a photo whose pixels lie at these places. */
export function fitShares(
  colours: readonly Colour[],
  { pixels, places }: ReturnType<typeof coarseCounts>,
  densities: Omit<Densities, 'near'>,
): Float64Array {
  const n = colours.length;
  const fours = FOUR * Math.ceil(n / FOUR);
  const density = inFours(densities, places, fours);
  const prior = Float64Array.from(colours, (colour) => colour.share);
  const weights = new Float64Array(fours);
  weights.set(prior);
  let total = 0;
  for (let k = 0; k < pixels.length; k++) total += pixels[k]!;
  const parts = new Float64Array(pixels.length);
  for (let k = 0; k < pixels.length; k++) parts[k] = pixels[k]! / total;
  const expected = new Float64Array(fours);
  const expect = expectationOf(parts, density, fours);
  for (let round = 0; round < ROUNDS && total > 0; round++) {
    expect(weights, expected);
    for (let c = 0; c < n; c++)
      weights[c] = (expected[c]! * weights[c]! + PRIOR_WEIGHT * prior[c]!) / (1 + PRIOR_WEIGHT);
    holdOther(weights.subarray(0, n), colours);
  }
  return weights.subarray(0, n);
}

/** Numbers worked on at a time. */
const FOUR = 4;

/** All densities of each place side by side, with zeros for colours that play no part and at the end of a row of `width`. */
function inFours({ first, colour, density }: Omit<Densities, 'near'>, places: Int32Array, width: number): Float64Array {
  const out = new Float64Array(places.length * width);
  for (let k = 0; k < places.length; k++) {
    const place = places[k]!;
    for (let i = first[place]!; i < first[place + 1]!; i++) out[k * width + colour[i]!] = density[i]!;
  }
  return out;
}

/** Set the summed share of the class `other` to its given part of all pieces, keeping the sum of all shares at 1. */
function holdOther(weights: Float64Array, colours: readonly Colour[]): void {
  let bare = 0;
  let other = 0;
  for (let c = 0; c < weights.length; c++) {
    if (colours[c]!.code === BACKGROUND) bare += weights[c]!;
    if (colours[c]!.code === CLASS_CODE.other) other += weights[c]!;
  }
  const rest = 1 - bare - other;
  if (!(rest > 0 && other > 0)) return;
  const down = ((1 - bare) * OTHER_SHARE) / other;
  const up = ((1 - bare) * (1 - OTHER_SHARE)) / rest;
  for (let c = 0; c < weights.length; c++) {
    const { code } = colours[c]!;
    if (code === CLASS_CODE.other) weights[c]! *= down;
    else if (code !== BACKGROUND) weights[c]! *= up;
  }
}
