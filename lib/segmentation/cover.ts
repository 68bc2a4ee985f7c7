import { BACKGROUND, CLASS_CODE, UNJUDGED } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { joinRuns, type Runs, runAt, runsOf } from './labelRuns';
import type { Light } from './light';
import { LIGHT_TILE_PX, type LightGains, lightGains } from './reflectanceTiles';
import { thinParts } from './thinParts';

/** Side of the squares in which the bare surface's colour is averaged, px. */
const TILE_PX = 32;
/** Fewest pixels for a colour to be averaged. */
const LEAST_PIXELS = 50;
/** Squared distance in linear light between metal and surface below which they cannot be unmixed: 0.1 of white. */
const LEAST_CONTRAST = 0.01;

/** 1 at the codes of metals. */
const IS_METAL = new Uint8Array(256);
for (const name of ['brightCopper', 'tinnedCopper', 'aluminium'] as const) IS_METAL[CLASS_CODE[name]] = 1;

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
  const runs = runsOf(map.labels, map.width, map.height);
  const thin = thinParts(map.labels, map.width, map.height, runs);
  for (let run = 0; run < runs.count; run++)
    if (IS_METAL[runs.label[run]!] === 0) thin.fill(BACKGROUND, runs.start[run]!, runs.end[run]!);
  const gains = lightGains(surface, light, map);
  return coverFromShares(
    map,
    thin,
    sharesBetween(raster, light, map, gains, meanColours(raster, light, map, thin, runs, gains)),
  );
}

/**
 * Covered share of thin parts from a covered share of single pixels: summed over each thin part and the bare pixels that
 * border it alone, and spread evenly over the part's pixels. Everything else is covered whole.
 *
 * @param thin - class code where a thin part is, else 0 (lib/segmentation/thinParts.ts)
 * @param shares - shares that a piece of class `code` covers of the pixels from one to another (not included) of a row, summed
 */
export function coverFromShares(
  map: ClassMap,
  thin: Uint8Array,
  shares: (from: number, to: number, code: number) => number,
): ClassMap {
  const { width, height, labels } = map;
  const parts = runsOf(thin, width, height);
  const { count, region } = joinRuns(parts);
  const sums = new Float64Array(count + 1);
  const pixels = new Uint32Array(count + 1);
  // Hot loops.
  for (let run = 0; run < parts.count; run++) {
    const part = region[run]!;
    const [from, to] = [parts.start[run]!, parts.end[run]!];
    pixels[part]! += to - from;
    sums[part]! += shares(from, to, parts.label[run]!);
  }
  const rim = runsOf(bareRim(map, parts), width, height);
  for (let run = 0; run < rim.count; run++) {
    for (let i = rim.start[run]!; i < rim.end[run]!; i++) {
      const owner = borderedPart(i, map, thin);
      if (owner >= 0) sums[region[runAt(parts, owner)]!]! += shares(i, i + 1, thin[owner]!);
    }
  }
  const cover = new Uint8Array(labels.length).fill(255);
  for (let run = 0; run < parts.count; run++) {
    const part = region[run]!;
    const share = Math.max(0, Math.min(255, Math.round((255 * sums[part]!) / pixels[part]!)));
    cover.fill(share, parts.start[run]!, parts.end[run]!);
  }
  return { ...map, cover };
}

/** 1 on bare pixels that touch a thin part. */
function bareRim({ width, height, labels }: ClassMap, parts: Runs): Uint8Array {
  const rim = new Uint8Array(labels.length);
  for (let row = 1; row < height - 1; row++) {
    for (let run = parts.firstOfRow[row]!; run < parts.firstOfRow[row + 1]!; run++) {
      const from = Math.max(row * width, parts.start[run]! - 1);
      const to = Math.min((row + 1) * width - 1, parts.end[run]!);
      for (let i = from; i <= to; i++) {
        if (labels[i - width] === BACKGROUND) rim[i - width] = 1;
        if (labels[i] === BACKGROUND) rim[i] = 1;
        if (labels[i + width] === BACKGROUND) rim[i + width] = 1;
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

/** Places of colours between the surface (0) and the metal (1), summed along a row; 1 where the two are too much alike to tell. */
function sharesBetween(
  raster: Raster,
  { tables: [reds, greens, blues] }: Light,
  { width, columnOffset, rowOffset }: ClassMap,
  { across, gain }: LightGains,
  { bareAt, metal }: MeanColours,
): (from: number, to: number, code: number) => number {
  const { data } = raster;
  return (first, last, code) => {
    const row = Math.floor(first / width);
    const base = row * width;
    const shift = 3 * ((row + rowOffset) * raster.width + columnOffset - base);
    const pure = metal[code];
    let sum = 0;
    for (let from = first; from < last; ) {
      const square = Math.floor((from - base) / LIGHT_TILE_PX);
      const to = Math.min(last, base + (square + 1) * LIGHT_TILE_PX);
      const bare = bareAt(from);
      const step = pure === undefined || bare === undefined ? undefined : stepBetween(bare, pure);
      if (step === undefined || bare === undefined) sum += to - from;
      else {
        const tile = 3 * (Math.floor(row / LIGHT_TILE_PX) * across + square);
        const [gr, gg, gb] = [gain[tile]!, gain[tile + 1]!, gain[tile + 2]!];
        for (let at = 3 * from + shift, end = 3 * to + shift; at < end; at += 3)
          sum +=
            (reds[data[at]!]! * gr - bare[0]) * step[0] +
            (greens[data[at + 1]!]! * gg - bare[1]) * step[1] +
            (blues[data[at + 2]!]! * gb - bare[2]) * step[2];
      }
      from = to;
    }
    return sum;
  };
}

/** What a colour's distance from the surface is multiplied by for its place towards the metal. */
function stepBetween(bare: Rgb, metal: Rgb): Rgb | undefined {
  const [r, g, b] = [metal[0] - bare[0], metal[1] - bare[1], metal[2] - bare[2]];
  const square = r * r + g * g + b * b;
  return square < LEAST_CONTRAST ? undefined : [r / square, g / square, b / square];
}

/** Colours that shares are measured between. */
interface MeanColours {
  /** Of the bare surface near a pixel. */
  readonly bareAt: (i: number) => Rgb | undefined;
  /** Of each metal where it is thick enough to fill its pixels, by class code. */
  readonly metal: readonly (Rgb | undefined)[];
}

/**
 * Mean colours in one pass over the box. The surface's are taken square by square, without pixels that border a piece, as they are
 * part piece; undefined where too few pixels came in.
 */
function meanColours(
  raster: Raster,
  { tables: [reds, greens, blues] }: Light,
  { width, height, columnOffset, rowOffset, labels }: ClassMap,
  thin: Uint8Array,
  runs: Runs,
  { across: lightsAcross, gain }: LightGains,
): MeanColours {
  const { data } = raster;
  const across = Math.ceil(width / TILE_PX);
  const metals = new Sums(UNJUDGED);
  const squares = new Sums(across * Math.ceil(height / TILE_PX));
  const { start, end, label, firstOfRow } = runs;
  // Hot loops: along each row the bare gaps and the runs between them, cut where the light's squares end.
  for (let row = 0; row < height; row++) {
    const lights = 3 * lightsAcross * Math.floor(row / LIGHT_TILE_PX);
    const squaresOfRow = across * Math.floor(row / TILE_PX);
    const base = row * width;
    const shift = 3 * ((row + rowOffset) * raster.width + columnOffset - base);
    const inner = row > 0 && row < height - 1;
    let bareFrom = base + 1;
    for (let run = firstOfRow[row]!; run <= firstOfRow[row + 1]!; run++) {
      const isRun = run < firstOfRow[row + 1]!;
      const bareTo = isRun ? start[run]! - 1 : base + width - 1;
      for (let from = bareFrom; inner && from < bareTo; ) {
        const square = Math.floor((from - base) / LIGHT_TILE_PX);
        const to = Math.min(bareTo, base + (square + 1) * LIGHT_TILE_PX);
        let count = 0;
        let [r, g, b] = [0, 0, 0];
        for (let i = from, at = 3 * from + shift; i < to; i++, at += 3) {
          if ((labels[i - width]! | labels[i + width]!) !== BACKGROUND) continue;
          r += reds[data[at]!]!;
          g += greens[data[at + 1]!]!;
          b += blues[data[at + 2]!]!;
          count++;
        }
        const tile = lights + 3 * square;
        if (count > 0)
          squares.add(
            squaresOfRow + Math.floor((from - base) / TILE_PX),
            count,
            r * gain[tile]!,
            g * gain[tile + 1]!,
            b * gain[tile + 2]!,
          );
        from = to;
      }
      if (!isRun) break;
      bareFrom = end[run]! + 1;
      if (IS_METAL[label[run]!] === 0) continue;
      for (let from = start[run]!; from < end[run]!; ) {
        const square = Math.floor((from - base) / LIGHT_TILE_PX);
        const to = Math.min(end[run]!, base + (square + 1) * LIGHT_TILE_PX);
        let count = 0;
        let [r, g, b] = [0, 0, 0];
        for (let i = from, at = 3 * from + shift; i < to; i++, at += 3) {
          if (thin[i] !== BACKGROUND) continue;
          r += reds[data[at]!]!;
          g += greens[data[at + 1]!]!;
          b += blues[data[at + 2]!]!;
          count++;
        }
        const tile = lights + 3 * square;
        metals.add(label[run]!, count, r * gain[tile]!, g * gain[tile + 1]!, b * gain[tile + 2]!);
        from = to;
      }
    }
  }
  const everywhere = squares.total();
  const bare = squares.means();
  return {
    bareAt: (i) => bare[Math.floor(i / width / TILE_PX) * across + Math.floor((i % width) / TILE_PX)] ?? everywhere,
    metal: metals.means(),
  };
}

/** Sums of colours, one a slot. */
class Sums {
  private readonly count: Uint32Array;
  private readonly sum: Float64Array;
  constructor(slots: number) {
    this.count = new Uint32Array(slots);
    this.sum = new Float64Array(3 * slots);
  }
  add(slot: number, count: number, red: number, green: number, blue: number): void {
    this.count[slot]! += count;
    this.sum[3 * slot]! += red;
    this.sum[3 * slot + 1]! += green;
    this.sum[3 * slot + 2]! += blue;
  }
  /** Undefined where too few colours came in. */
  means(): (Rgb | undefined)[] {
    return Array.from(this.count, (count, k) => meanOf(count, this.sum.subarray(3 * k, 3 * k + 3)));
  }
  total(): Rgb | undefined {
    const all = new Float64Array(3);
    for (let k = 0; k < this.sum.length; k++) all[k % 3]! += this.sum[k]!;
    return meanOf(
      this.count.reduce((sum, count) => sum + count, 0),
      all,
    );
  }
}

function meanOf(count: number, [red = 0, green = 0, blue = 0]: Float64Array): Rgb | undefined {
  return count < LEAST_PIXELS ? undefined : [red / count, green / count, blue / count];
}
