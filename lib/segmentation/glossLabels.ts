import { CLASS_CODE } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { CLIPPED_CODE } from './cells';
import type { ClassMap } from './classMap';
import { COLOUR_WEIGHT, type Gloss, glossOf, glossVotes, LEAST_PIXELS } from './gloss';
import { joinRuns, type Runs, runsOf, runsWhere } from './labelRuns';
import type { Light } from './light';
import { LOG_STEPS_PER_E } from './lookupTable';
import { lightGains, ReflectanceReader } from './reflectanceTiles';
import { type StepTable, TILE_PX } from './stepTable';

/** Pixels of a piece that are looked at, spread over it: enough for the few per cent that are its lightest. */
const MOST_PIXELS = 400;
/** Log-odds by colour don't go lower. */
const LEAST_LOG = -128;

/** The pieces of copper's colour on a photo. */
export interface CopperPieces {
  /** Runs of pixels called copper, and the piece of each, from 1. */
  readonly runs: Runs;
  readonly region: Int32Array;
  /** How each piece shines and its pixels, by piece less one. */
  readonly gloss: readonly (Gloss | undefined)[];
  readonly pixels: Uint32Array;
}

/** How the pieces that are called copper shine, looked at inside their rims, where no neighbour's light mixes in. */
export function copperPieces(raster: Raster, surface: Surface, light: Light, map: ClassMap): CopperPieces {
  const { width, height, labels } = map;
  const runs = runsWhere(runsOf(labels, width, height), isCopper);
  const { count, region } = joinRuns(runs);
  const pixels = new Uint32Array(count);
  addPixels(runs, region, pixels);
  const isLookedAt = new Uint8Array(labels.length);
  const inner = new Uint32Array(count);
  for (let row = 2; row < height - 2; row++) markRow(raster, map, runs, region, row, isLookedAt, inner);
  const reader = new ReflectanceReader(raster, light, map, lightGains(surface, light, map));
  const takers: (Taker | undefined)[] = [];
  for (let piece = 0; piece < count; piece++)
    takers.push(inner[piece]! < LEAST_PIXELS ? undefined : new Taker(inner[piece]!, isLookedAt, reader));
  for (let row = 2; row < height - 2; row++) takeRow(takers, runs, region, row);
  const gloss: (Gloss | undefined)[] = [];
  for (let piece = 0; piece < count; piece++) gloss.push(takers[piece]?.gloss());
  return { runs, region, gloss, pixels };
}

function isCopper(label: number): boolean {
  return label === CLASS_CODE.brightCopper;
}

/** Adds the runs' pixels up by piece less one. */
function addPixels({ count, start, end }: Runs, region: Int32Array, pixels: Uint32Array): void {
  for (let run = 0; run < count; run++) pixels[region[run]! - 1]! += end[run]! - start[run]!;
}

/** Lets the pieces take what they look at of one row. */
function takeRow(
  takers: readonly (Taker | undefined)[],
  { start, end, firstOfRow }: Runs,
  region: Int32Array,
  row: number,
): void {
  for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++)
    takers[region[run]! - 1]?.take(start[run]! + 2, end[run]! - 2);
}

/** Marks a row's pixels that are looked at, and counts them by piece less one. */
function markRow(
  raster: Raster,
  { width, columnOffset, rowOffset, labels }: ClassMap,
  runs: Runs,
  region: Int32Array,
  row: number,
  marks: Uint8Array,
  found: Uint32Array,
): void {
  const shift = (row + rowOffset) * raster.width + columnOffset - row * width;
  for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
    const from = runs.start[run]! + 2;
    found[region[run]! - 1]! += markInner(
      marks,
      labels,
      width,
      raster.data,
      3 * (from + shift),
      from,
      runs.end[run]! - 2,
    );
  }
}

/** Takes the colours of some of a piece's pixels, evenly spread over those looked at in reading order. */
class Taker {
  private taken = 0;
  private passed = 0;
  private next: number;
  private readonly rgb: Float32Array;
  /** @param pixels - how many of the piece's are looked at */
  constructor(
    private readonly pixels: number,
    private readonly isLookedAt: Uint8Array,
    private readonly reader: ReflectanceReader,
  ) {
    this.rgb = new Float32Array(3 * Math.min(MOST_PIXELS, pixels));
    this.next = this.placeOf(0);
  }
  /** Look at the pixels from one to another (not included). */
  take(from: number, to: number): void {
    const { isLookedAt } = this;
    let { passed, next } = this;
    for (let i = from; i < to; i++) {
      if (isLookedAt[i] === 0) continue;
      if (passed++ !== next) continue;
      this.reader.read(i, this.rgb, 3 * this.taken++);
      next = this.placeOf(this.taken);
    }
    this.passed = passed;
    this.next = next;
  }
  gloss(): Gloss | undefined {
    return glossOf(this.rgb);
  }
  private placeOf(k: number): number {
    return Math.floor(((k + 0.5) * this.pixels) / (this.rgb.length / 3));
  }
}

/**
 * Marks the pixels of a run whose neighbours two steps away or less are copper too (sides and corners of a diamond) and that are not clipped.
 *
 * @param at - place of the first one's bytes on the photo
 * @returns how many there are
 */
function markInner(
  marks: Uint8Array,
  labels: Uint8Array,
  width: number,
  data: Uint8Array,
  at: number,
  from: number,
  to: number,
): number {
  const copper = CLASS_CODE.brightCopper;
  const twice = 2 * width;
  let found = 0;
  // Hot loop.
  for (let i = from, byte = at; i < to; i++, byte += 3) {
    if (labels[i - twice] !== copper || labels[i + twice] !== copper) continue;
    if (labels[i - width - 1] !== copper || labels[i - width] !== copper || labels[i - width + 1] !== copper) continue;
    if (labels[i + width - 1] !== copper || labels[i + width] !== copper || labels[i + width + 1] !== copper) continue;
    if (Math.max(data[byte]!, data[byte + 1]!, data[byte + 2]!) >= CLIPPED_CODE) continue;
    marks[i] = 1;
    found++;
  }
  return found;
}

/**
 * The labels with pixels called copper that are likelier insulation, by their colour and by how the photo's pieces of that colour
 * shine, called so. Only copper is put to the vote: greys have no colour that a highlight could keep, and what is called insulation
 * is no better known by its shine than by its colour.
 *
 * @param copperOverInsulation - log-odds by colour (lib/segmentation/lookupTable.ts)
 */
export function weighGloss(
  raster: Raster,
  surface: Surface,
  light: Light,
  map: ClassMap,
  steps: StepTable,
  copperOverInsulation: Int8Array,
): ClassMap {
  const { runs, region, gloss, pixels } = copperPieces(raster, surface, light, map);
  const votes = glossVotes(gloss, pixels);
  if (votes === undefined) return map;
  const { width, columnOffset, rowOffset } = map;
  const labels = map.labels.slice();
  for (let row = 0; row < map.height; row++) {
    const base = row * width;
    const shift = (row + rowOffset) * raster.width + columnOffset - base;
    const tiles = Math.floor(row / TILE_PX) * steps.across;
    for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
      const least = (-LOG_STEPS_PER_E * votes.ofPiece[region[run]! - 1]!) / COLOUR_WEIGHT;
      if (least <= LEAST_LOG) continue;
      for (let from = runs.start[run]!; from < runs.end[run]!; ) {
        const square = Math.floor((from - base) / TILE_PX);
        const to = Math.min(runs.end[run]!, base + (square + 1) * TILE_PX);
        callLikelier(
          labels,
          from,
          to,
          raster.data,
          3 * (from + shift),
          steps,
          tiles + square,
          copperOverInsulation,
          least,
        );
        from = to;
      }
    }
  }
  return { ...map, labels };
}

/** Calls pixels of one square of light insulation where the log-odds of their colour are below `least`; `at` is the first one's place on the photo. */
function callLikelier(
  labels: Uint8Array,
  from: number,
  to: number,
  data: Uint8Array,
  at: number,
  { steps, starts }: StepTable,
  tile: number,
  copperOverInsulation: Int8Array,
  least: number,
): void {
  const reds = starts[3 * tile]!;
  const greens = starts[3 * tile + 1]!;
  const blues = starts[3 * tile + 2]!;
  // Hot loop.
  for (let i = from, byte = at; i < to; i++, byte += 3) {
    const red = steps[reds + data[byte]!]!;
    const green = steps[greens + data[byte + 1]!]!;
    const blue = steps[blues + data[byte + 2]!]!;
    if (copperOverInsulation[(red << 12) | (green << 6) | blue]! < least) labels[i] = CLASS_CODE.insulation;
  }
}
