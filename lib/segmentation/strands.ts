import { BACKGROUND, CLASS_CODE } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { selectWithin } from '../quantity/estimateOf';
import type { ClassMap } from './classMap';
import { meanColours } from './cover';
import { joinRuns, type Runs, runsOf } from './labelRuns';
import type { Light } from './light';
import { LIGHT_TILE_PX, type LightGains, lightGains } from './reflectanceTiles';
import { thinParts } from './thinParts';
import { across, along, differenceScatter, type Rgb, type Symmetric3 } from './unmixing';

/** How far the light of a piece reaches over bare surface by lens and chroma subsampling, px: nothing is sought nearer to thick pieces. */
const REACH_PX = 3;
/** A strand is sought against the surface this far to either side of it, px: past what the lens blurs it over. */
const SIDE_PX = 4;
/** A pixel's pull towards copper is looked at from this many times the grain of bare surface: single ones of that are common, */
const SURE = 3;
/** but whole strands of this many pixels are not. */
const LEAST_PIXELS = 12;
/** Pull below which nothing is looked at, whatever the grain: where cover ends and interpolation, sharpening and mirrored light begin. Our choice. */
const LEAST_PULL = 0.15;
/** Grain that needs more pull than this drowns strands a pixel wide; nothing is sought then. */
const MOST_PULL = 0.5;
/** Part of a strand's pull that must be colour: copper pulls wholly, tinned wire and shadows not at all. Half way between. */
const LEAST_COLOUR = 0.5;

/**
 * Adds copper strands too thin to win any pixel of their own: lines of bare pixels that copper pulls at.
 *
 * The pull is how far a pixel lies from the bare surface beside it towards copper's colour on the photo, along the direction that
 * the surface's own grain hides least (a matched filter). It must be more than what lies on either side of it, along a row, a column
 * or a diagonal; such pixels that hang together, too thin to hold a square, are a strand where the pull is one of colour as
 * well, since shadows and tinned wire only darken. How much the strand covers is for lib/segmentation/cover.ts to say.
 * Limit: strands within three pixels of thick pieces are left as they are; copper that has the surface's colour stays unseen.
 */
export function addStrands(raster: Raster, surface: Surface, light: Light, map: ClassMap): ClassMap {
  const { width, height, labels } = map;
  const copper = CLASS_CODE.brightCopper;
  const runs = runsOf(labels, width, height);
  const thin = thinParts(labels, width, height);
  const gains = lightGains(surface, light, map);
  const colours = meanColours(raster, light, map, thin, runs, gains);
  const pure = colours.metal[copper];
  if (pure === undefined) return map;
  const isFree = freeOf(map, runs, thin);
  const scatter = differenceScatter(eachPair(raster, light, map, isFree));
  if (scatter === undefined) return map;
  const pull = pullsOf(raster, light, map, gains, colours.bareAt, pure, scatter);
  const least = Math.max(LEAST_PULL, SURE * grainOf(pull, isFree));
  if (least > MOST_PULL) return map;
  const parts = runsOf(thinParts(linesOf(pull, least, isFree, map), width, height), width, height);
  const { count, region } = joinRuns(parts);
  const pixels = new Uint32Array(count + 1);
  const pulls = new Float64Array(count + 1);
  const tints = new Float64Array(count + 1);
  eachPixel(parts, (i, run) => {
    const k = region[run]!;
    pixels[k]! += 1;
    pulls[k]! += pull[i]!;
    const bare = colours.bareAt(i);
    const tint = bare && across(bare, pure);
    if (tint) tints[k]! += dot(tint, colourAt(raster, light, map, gains, i));
  });
  const out = labels.slice();
  eachPixel(parts, (i, run) => {
    const k = region[run]!;
    if (pixels[k]! >= LEAST_PIXELS && tints[k]! > LEAST_COLOUR * pulls[k]!) out[i] = copper;
  });
  return { ...map, labels: out };
}

/** 1 on bare pixels out of reach of all but thin copper. */
function freeOf({ width, height, labels }: ClassMap, runs: Runs, thin: Uint8Array): Uint8Array {
  const isFree = new Uint8Array(labels.length).fill(1);
  for (let row = 0; row < height; row++) {
    const [up, down] = [Math.min(REACH_PX, row), Math.min(REACH_PX, height - 1 - row)];
    for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
      isFree.fill(0, runs.start[run]!, runs.end[run]!);
      // stretches of the run that are not thin copper reach over the rows and columns around them
      for (let from = runs.start[run]!; from < runs.end[run]!; ) {
        let to = from;
        while (to < runs.end[run]! && thin[to] !== CLASS_CODE.brightCopper) to++;
        if (to > from) {
          const left = Math.min(REACH_PX, from - row * width);
          const right = Math.min(REACH_PX, (row + 1) * width - to);
          for (let dy = -up; dy <= down; dy++) isFree.fill(0, from + dy * width - left, to + dy * width + right);
        }
        from = to + 1;
      }
    }
  }
  return isFree;
}

/** Every how many rows and columns the grain is looked at. */
const GRAIN_ROWS = 3;
const GRAIN_COLUMNS = 7;

/** Differences of corrected colour between free pixels of a row that lie as far apart as a strand and its side. */
function eachPair(raster: Raster, { tables }: Light, map: ClassMap, isFree: Uint8Array): Float64Array {
  const { width, height, columnOffset, rowOffset } = map;
  const differences = new Float64Array(3 * Math.ceil(height / GRAIN_ROWS) * Math.ceil(width / GRAIN_COLUMNS));
  let count = 0;
  for (let row = 0; row < height; row += GRAIN_ROWS) {
    for (let x = row % GRAIN_COLUMNS; x + SIDE_PX < width; x += GRAIN_COLUMNS) {
      if (isFree[row * width + x] === 0 || isFree[row * width + x + SIDE_PX] === 0) continue;
      const at = 3 * ((row + rowOffset) * raster.width + columnOffset + x);
      for (const c of [0, 1, 2] as const)
        differences[count++] = tables[c][raster.data[at + c]!]! - tables[c][raster.data[at + c + 3 * SIDE_PX]!]!;
    }
  }
  return differences.subarray(0, count);
}

/** Numbers a square of light: one a channel, and the bare surface's own. */
const FACTORS = 4;

/** How far each pixel lies from the surface near by (0) towards copper (1). */
function pullsOf(
  raster: Raster,
  { tables: [reds, greens, blues] }: Light,
  { width, height, columnOffset, rowOffset }: ClassMap,
  gains: LightGains,
  bareAt: (i: number) => Rgb | undefined,
  pure: Rgb,
  scatter: Symmetric3,
): Float32Array {
  const { data } = raster;
  const pull = new Float32Array(width * height);
  const factors = new Float64Array(FACTORS * gains.across);
  // Hot loop; what colours are multiplied by is worked out once a square of light.
  for (let row = 0; row < height; row++) {
    if (row % LIGHT_TILE_PX === 0)
      for (let square = 0; square < gains.across; square++) {
        const bare = bareAt(row * width + square * LIGHT_TILE_PX);
        const step = bare && along(bare, pure, scatter);
        const tile = 3 * (Math.floor(row / LIGHT_TILE_PX) * gains.across + square);
        for (const c of [0, 1, 2] as const) factors[FACTORS * square + c] = step ? step[c] * gains.gain[tile + c]! : 0;
        factors[FACTORS * square + 3] = step && bare ? dot(step, bare) : 0;
      }
    const shift = 3 * ((row + rowOffset) * raster.width + columnOffset - row * width);
    for (let square = 0; square < gains.across; square++) {
      const from = row * width + square * LIGHT_TILE_PX;
      const to = Math.min((row + 1) * width, from + LIGHT_TILE_PX);
      const r = factors[FACTORS * square]!;
      const g = factors[FACTORS * square + 1]!;
      const b = factors[FACTORS * square + 2]!;
      const origin = factors[FACTORS * square + 3]!;
      for (let i = from, at = 3 * from + shift; i < to; i++, at += 3)
        pull[i] = r * reds[data[at]!]! + g * greens[data[at + 1]!]! + b * blues[data[at + 2]!]! - origin;
    }
  }
  return pull;
}

/** Half of all differences of two alike normal deviates lie within this many of their standard deviations: 0.6745 x square root of 2. */
const HALF_WITHIN = 0.954;

/** Standard deviation of the pull over bare surface, by the middle of its differences, to which strands and shadows hardly count. */
function grainOf(pull: Float32Array, isFree: Uint8Array): number {
  const differences = new Float64Array(Math.ceil(pull.length / GRAIN_COLUMNS));
  let count = 0;
  for (let i = 0; i + SIDE_PX < pull.length; i += GRAIN_COLUMNS)
    if (isFree[i] === 1 && isFree[i + SIDE_PX] === 1) differences[count++] = Math.abs(pull[i]! - pull[i + SIDE_PX]!);
  return count === 0 ? Number.POSITIVE_INFINITY : selectWithin(differences, count, count >> 1) / HALF_WITHIN;
}

/** 1 on free pixels whose pull is by `least` above that of bare surface on both sides, in any of four directions. */
function linesOf(
  pull: Float32Array,
  least: number,
  isFree: Uint8Array,
  { width, height, labels }: ClassMap,
): Uint8Array {
  const lines = new Uint8Array(labels.length);
  const steps = [1, width, width + 1, width - 1].map((step) => SIDE_PX * step);
  // Hot loop.
  for (let row = SIDE_PX; row < height - SIDE_PX; row++) {
    for (let i = row * width + SIDE_PX; i < (row + 1) * width - SIDE_PX; i++) {
      if (isFree[i] === 0) continue;
      const under = pull[i]! - least;
      for (let s = 0; s < steps.length; s++) {
        const [one, other] = [i + steps[s]!, i - steps[s]!];
        if (pull[one]! >= under || pull[other]! >= under) continue;
        if (labels[one] !== BACKGROUND || labels[other] !== BACKGROUND) continue;
        lines[i] = 1;
        break;
      }
    }
  }
  return lines;
}

function eachPixel(runs: Runs, visit: (i: number, run: number) => void): void {
  for (let run = 0; run < runs.count; run++) for (let i = runs.start[run]!; i < runs.end[run]!; i++) visit(i, run);
}

/** Light-corrected linear colour of one pixel. */
function colourAt(
  raster: Raster,
  { tables }: Light,
  map: ClassMap,
  { across: wide, gain }: LightGains,
  i: number,
): Rgb {
  const row = Math.floor(i / map.width);
  const column = i - row * map.width;
  const tile = 3 * (Math.floor(row / LIGHT_TILE_PX) * wide + Math.floor(column / LIGHT_TILE_PX));
  const at = 3 * ((row + map.rowOffset) * raster.width + column + map.columnOffset);
  const of = (c: 0 | 1 | 2) => tables[c][raster.data[at + c]!]! * gain[tile + c]!;
  return [of(0), of(1), of(2)];
}

function dot(p: Rgb, q: Rgb): number {
  return p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
}
