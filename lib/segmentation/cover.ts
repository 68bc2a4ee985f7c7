import { BACKGROUND, CLASS_CODE, UNJUDGED } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { labelRegions } from './labelRegions';
import type { Light } from './light';
import { reflectanceTiles } from './reflectanceTiles';
import { thinParts } from './thinParts';

/** Side of the squares in which the bare surface's colour is averaged, px. */
const TILE_PX = 32;
/** Fewest pixels for a colour to be averaged. */
const LEAST_PIXELS = 50;
/** Squared distance in linear light between metal and surface below which they cannot be unmixed: 0.1 of white. */
const LEAST_CONTRAST = 0.01;

const METALS: ReadonlySet<number> = new Set([CLASS_CODE.brightCopper, CLASS_CODE.tinnedCopper, CLASS_CODE.aluminium]);

/**
 * Covered share of the pixels of thin metal strands, for any label map.
 *
 * A strand about a pixel wide mixes with the surface on every pixel it touches. In linear light the mix is a straight line
 * from the surface's colour near by to the metal's mean colour on this photo, and a pixel's place on it is its covered
 * share. The shares are summed over each thin part and the bare pixels that border it, and spread evenly over the part's
 * pixels: single pixels are too noisy, and metal glints. Thick parts, other classes and strands that touch pieces keep
 * whole pixels, as what their rims lose on one side they win on the other.
 * Limit: a strand darker or brighter than its metal's mean is read too thick or too thin; needs metal and surface to differ.
 *
 * @returns the map with `cover`
 * @source linear mixing, a = ((c - c2).(c1 - c2))/|c1 - c2|^2; bounded by tests/segmentation/cover.test.ts
 */
export function coverOf(raster: Raster, surface: Surface, light: Light, map: ClassMap): ClassMap {
  const thin = thinParts(map.labels, map.width, map.height).map((label) => (METALS.has(label) ? label : BACKGROUND));
  const colour = reflectanceTiles(raster, surface, light, map);
  const bare = bareColours(map, colour);
  const metal = metalColours(map, thin, colour);
  const rgb = new Float64Array(3);
  return coverFromShares(map, thin, (i, code) => {
    colour(i, rgb);
    return shareOf(rgb, metal[code], bare.at(i));
  });
}

/**
 * Covered share of thin parts from a covered share of single pixels: summed over each thin part and the bare pixels that
 * border it alone, and spread evenly over the part's pixels. Everything else is covered whole.
 *
 * @param thin - class code where a thin part is, else 0 (lib/segmentation/thinParts.ts)
 * @param shareAt - share of pixel `i` that a piece of class `code` covers
 */
export function coverFromShares(
  map: ClassMap,
  thin: Uint8Array,
  shareAt: (i: number, code: number) => number,
): ClassMap {
  const { width, height, labels } = map;
  const { ids, count } = labelRegions(thin, width, height);
  const sums = new Float64Array(count + 1);
  const pixels = new Uint32Array(count + 1);
  const rim = bareRim(map, thin);
  // Hot loops.
  for (let i = 0; i < labels.length; i++) {
    const id = ids[i]!;
    if (id !== 0) {
      pixels[id]! += 1;
      sums[id]! += shareAt(i, thin[i]!);
    } else if (rim[i] === 1) {
      const owner = borderedPart(i, map, thin);
      if (owner >= 0) sums[ids[owner]!]! += shareAt(i, thin[owner]!);
    }
  }
  const cover = new Uint8Array(labels.length).fill(255);
  for (let i = 0; i < cover.length; i++) {
    const id = ids[i]!;
    if (id !== 0) cover[i] = Math.max(0, Math.min(255, Math.round((255 * sums[id]!) / pixels[id]!)));
  }
  return { ...map, cover };
}

/** 1 on bare pixels that touch a thin part. */
function bareRim({ width, height, labels }: ClassMap, thin: Uint8Array): Uint8Array {
  const rim = new Uint8Array(labels.length);
  for (let row = 1; row < height - 1; row++) {
    for (let i = row * width + 1; i < (row + 1) * width - 1; i++) {
      if (thin[i] === BACKGROUND) continue;
      for (let up = i - width; up <= i + width; up += width) {
        for (let j = up - 1; j <= up + 1; j++) if (labels[j] === BACKGROUND) rim[j] = 1;
      }
    }
  }
  return rim;
}

/** A pixel of the thin part that a bare pixel borders, if it borders nothing else; -1 otherwise. */
function borderedPart(i: number, { width, height, labels }: ClassMap, thin: Uint8Array): number {
  const column = i % width;
  let owner = -1;
  for (let dy = -1; dy <= 1; dy++) {
    for (let dx = -1; dx <= 1; dx++) {
      const j = i + dy * width + dx;
      if (column + dx < 0 || column + dx >= width || j < 0 || j >= width * height) continue;
      if (labels[j] === BACKGROUND) continue;
      if (thin[j] === BACKGROUND) return -1;
      owner = j;
    }
  }
  return owner;
}

type Rgb = readonly [number, number, number];

/** Place of a colour between the surface (0) and the metal (1); 1 where they are too much alike to tell. */
function shareOf(c: Float64Array, metal: Rgb | undefined, bare: Rgb | undefined): number {
  if (metal === undefined || bare === undefined) return 1;
  const d = [metal[0] - bare[0], metal[1] - bare[1], metal[2] - bare[2]] as const;
  const square = d[0] * d[0] + d[1] * d[1] + d[2] * d[2];
  if (square < LEAST_CONTRAST) return 1;
  return ((c[0]! - bare[0]) * d[0] + (c[1]! - bare[1]) * d[1] + (c[2]! - bare[2]) * d[2]) / square;
}

/** Mean colour of the bare surface in squares; pixels that border a piece are left out, as they are part piece. */
function bareColours(
  map: ClassMap,
  colour: (i: number, rgb: Float64Array) => void,
): { at(i: number): Rgb | undefined } {
  const { width, height, labels } = map;
  const across = Math.ceil(width / TILE_PX);
  const tileOf = (i: number) => Math.floor(i / width / TILE_PX) * across + Math.floor((i % width) / TILE_PX);
  const sums = new MeanColours(across * Math.ceil(height / TILE_PX) + 1);
  const everywhere = sums.count.length - 1;
  const rgb = new Float64Array(3);
  for (let row = 1; row < height - 1; row++) {
    for (let column = 1; column < width - 1; column++) {
      const i = row * width + column;
      if (labels[i] !== BACKGROUND || labels[i - 1] !== BACKGROUND || labels[i + 1] !== BACKGROUND) continue;
      if (labels[i - width] !== BACKGROUND || labels[i + width] !== BACKGROUND) continue;
      colour(i, rgb);
      sums.add(tileOf(i), rgb);
      sums.add(everywhere, rgb);
    }
  }
  const means = sums.means();
  return { at: (i) => means[tileOf(i)] ?? means[everywhere] };
}

/** Mean colour of each metal where it is thick enough to fill its pixels, by class code. */
function metalColours(
  { labels }: ClassMap,
  thin: Uint8Array,
  colour: (i: number, rgb: Float64Array) => void,
): readonly (Rgb | undefined)[] {
  const sums = new MeanColours(UNJUDGED);
  const rgb = new Float64Array(3);
  for (let i = 0; i < labels.length; i++) {
    if (!METALS.has(labels[i]!) || thin[i] !== BACKGROUND) continue;
    colour(i, rgb);
    sums.add(labels[i]!, rgb);
  }
  return sums.means();
}

/** Running means of colours, one a slot. */
class MeanColours {
  readonly count: Uint32Array;
  private readonly sum: Float64Array;
  constructor(slots: number) {
    this.count = new Uint32Array(slots);
    this.sum = new Float64Array(3 * slots);
  }
  add(slot: number, rgb: Float64Array): void {
    this.count[slot]! += 1;
    for (let c = 0; c < 3; c++) this.sum[3 * slot + c]! += rgb[c]!;
  }
  /** Undefined where too few colours came in. */
  means(): (Rgb | undefined)[] {
    return Array.from(this.count, (n, k) => {
      const mean = (c: number) => this.sum[3 * k + c]! / n;
      return n < LEAST_PIXELS ? undefined : ([mean(0), mean(1), mean(2)] as const);
    });
  }
}
