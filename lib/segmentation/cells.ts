import { cielabOf } from '../colour/cielab';
import type { Raster } from '../photo/raster';
import { decodeSrgb, encodeSrgb } from '../photo/srgbCurve';
import type { Surface } from '../photo/surface';
import type { FieldBox } from './fieldBox';
import type { Light } from './light';
import { LIGHT_TILE_PX, lightsOfSquares } from './reflectanceTiles';

/** Steps per channel of the colour cube that pixels are sorted into: 6 bits of light-corrected sRGB code. */
export const STEPS = 64;
/** Cells of the colour cube: red x 64 x 64 + green x 64 + blue. */
export const CELLS = STEPS ** 3;
/** Cell of a pixel outside the field. */
export const OUTSIDE = -1;
/** Cell of a pixel whose brightest channel is clipped: its colour is lost. */
export const CLIPPED = -2;

/** Squares of this many pixels share one light level. */
export const TILE_PX = LIGHT_TILE_PX;
/** Light levels are kept in steps of 1/64 in the logarithm, 1.6 %. */
const LEVELS_PER_E = 64;
/** A code from here on may be clipped. */
export const CLIPPED_CODE = 252;

/** Light-corrected colours of the pixels in the field, as cells of a colour cube. */
export interface Cells {
  /** Clipped pixels in the field. */
  readonly clipped: number;
  /** Cell of each pixel of the box, or OUTSIDE or CLIPPED; height x width. */
  readonly cell: Int32Array;
  /** Pixels in each cell. */
  readonly count: Uint32Array;
  /** The cells that hold pixels, ascending, and their colours: L, a, b of each. */
  readonly used: Int32Array;
  readonly cielab: Float64Array;
}

/** How often each cell comes, and the colours of those that come. */
export type CellCounts = Omit<Cells, 'cell'>;

/**
 * Sort the field's pixels into cells of light-corrected colour: one pass, table look-ups only.
 *
 * The corrected colour is gain times straightened linear light over the light at that place, sRGB-encoded, so that cells
 * are about evenly spaced to the eye; reflectances above 1 (shine) go to the last step.
 */
export function cellsOf(raster: Raster, surface: Surface, light: Light, box: FieldBox): Cells {
  const cell = new Int32Array(box.width * box.height).fill(OUTSIDE);
  const count = new Uint32Array(CELLS);
  const table = stepTable(surface, light, box);
  const clipped = countPieces(raster.data, piecesOf(raster, box, table), table.steps, count, cell);
  return { cell, count, clipped, ...coloursOf(count) };
}

/** The same without keeping each pixel's cell; `labelsOfCells` finds them again. */
export function countCells(raster: Raster, box: FieldBox, table: StepTable): CellCounts {
  const count = new Uint32Array(CELLS);
  const clipped = countPieces(raster.data, piecesOf(raster, box, table), table.steps, count);
  return { count, clipped, ...coloursOf(count) };
}

/** What `code` says of each pixel's cell, `ofClipped` where the colour is lost, 0 outside the field; height x width. */
export function labelsOfCells(
  raster: Raster,
  box: FieldBox,
  table: StepTable,
  code: Uint8Array,
  ofClipped: number,
): Uint8Array {
  const labels = new Uint8Array(box.width * box.height);
  const { data } = raster;
  const { steps } = table;
  const pieces = piecesOf(raster, box, table);
  // Hot loop.
  for (let piece = 0; piece < pieces.length; piece += PIECE) {
    let at = pieces[piece]!;
    const red = pieces[piece + 3]!;
    const green = pieces[piece + 4]!;
    const blue = pieces[piece + 5]!;
    for (let i = pieces[piece + 1]!, to = pieces[piece + 2]!; i < to; i++, at += 3) {
      const r = data[at]!;
      const g = data[at + 1]!;
      const b = data[at + 2]!;
      labels[i] =
        (r & g & b) >= CLIPPED_CODE
          ? ofClipped
          : code[(steps[red + r]! << 12) | (steps[green + g]! << 6) | steps[blue + b]!]!;
    }
  }
  return labels;
}

/** Count cells and, where asked, keep each pixel's; returns the clipped pixels. */
function countPieces(
  data: Uint8Array,
  pieces: Int32Array,
  steps: Uint8Array,
  count: Uint32Array,
  cell?: Int32Array,
): number {
  let clipped = 0;
  // Hot loop.
  for (let piece = 0; piece < pieces.length; piece += PIECE) {
    let at = pieces[piece]!;
    const red = pieces[piece + 3]!;
    const green = pieces[piece + 4]!;
    const blue = pieces[piece + 5]!;
    for (let i = pieces[piece + 1]!, to = pieces[piece + 2]!; i < to; i++, at += 3) {
      const r = data[at]!;
      const g = data[at + 1]!;
      const b = data[at + 2]!;
      let k = CLIPPED;
      if ((r & g & b) >= CLIPPED_CODE) clipped++;
      else {
        k = (steps[red + r]! << 12) | (steps[green + g]! << 6) | steps[blue + b]!;
        count[k]!++;
      }
      if (cell !== undefined) cell[i] = k;
    }
  }
  return clipped;
}

/** Numbers a piece. */
const PIECE = 6;

/**
 * The field's pixels row by row, in pieces that share one light: the first pixel's place in the photo's bytes, the first and the
 * last (not included) place in the box, and where the step tables of the three channels start.
 */
function piecesOf(raster: Raster, box: FieldBox, { across, starts }: StepTable): Int32Array {
  const { width, height, columnOffset, rowOffset, inside } = box;
  const pieces = new Int32Array(PIECE * height * (across + 1));
  let count = 0;
  for (let row = 0; row < height; row++) {
    const base = row * width;
    // the field is convex: a row's pixels inside follow one another
    const first = inside.subarray(base, base + width).indexOf(1);
    if (first < 0) continue;
    const last = inside.lastIndexOf(1, base + width - 1) - base;
    for (let left = first; left <= last; ) {
      const square = Math.floor(left / TILE_PX);
      const right = Math.min(last + 1, (square + 1) * TILE_PX);
      const tile = 3 * (Math.floor(row / TILE_PX) * across + square);
      pieces[count++] = 3 * ((row + rowOffset) * raster.width + left + columnOffset);
      pieces[count++] = base + left;
      pieces[count++] = base + right;
      for (let c = 0; c < 3; c++) pieces[count++] = starts[tile + c]!;
      left = right;
    }
  }
  return pieces.subarray(0, count);
}

/** L, a, b of the cells that came up so far: a cell's colour is the same on every photo. */
const CIELAB = new Float64Array(3 * CELLS);
const isKnown = new Uint8Array(CELLS);

function coloursOf(count: Uint32Array): Pick<Cells, 'used' | 'cielab'> {
  const used = usedCells(count);
  const cielab = new Float64Array(3 * used.length);
  for (let k = 0; k < used.length; k++) {
    const cell = used[k]!;
    if (isKnown[cell] === 0) {
      const { L, a, b } = cielabOf(...reflectanceOfCell(cell));
      CIELAB[3 * cell] = L;
      CIELAB[3 * cell + 1] = a;
      CIELAB[3 * cell + 2] = b;
      isKnown[cell] = 1;
    }
    for (let c = 0; c < 3; c++) cielab[3 * k + c] = CIELAB[3 * cell + c]!;
  }
  return { used, cielab };
}

function usedCells(count: Uint32Array): Int32Array {
  const used = new Int32Array(CELLS);
  let many = 0;
  for (let k = 0; k < CELLS; k++) if (count[k] !== 0) used[many++] = k;
  return used.slice(0, many);
}

/** Corrected linear reflectance at the middle of a cell. */
export function reflectanceOfCell(cell: number): [number, number, number] {
  const step = (k: number) => DECODED[k & (STEPS - 1)]!;
  return [step(cell >> 12), step(cell >> 6), step(cell)];
}

const DECODED = Float64Array.from({ length: STEPS }, (_, k) => decodeSrgb((k + 0.5) / STEPS));

/** Tables from a photo's byte to the step of corrected colour: 256 steps per channel and light level. */
export interface StepTable {
  readonly steps: Uint8Array;
  /** Squares of a row of the box. */
  readonly across: number;
  /** Where each square's tables start in `steps`: three a square, row by row. */
  readonly starts: Int32Array;
}

/** The step tables of a box, one for each light level that comes. */
export function stepTable(surface: Surface, light: Light, box: FieldBox): StepTable {
  const across = Math.ceil(box.width / TILE_PX);
  const down = Math.ceil(box.height / TILE_PX);
  const starts = new Int32Array(3 * across * down);
  const levels = new StepLevels(light);
  const lights = light.falloff && lightsOfSquares(surface, light.falloff, box);
  for (let row = 0, width = 3 * across; row < down; row++)
    levels.findRow(lights, row * width, (row + 1) * width, starts);
  return { steps: levels.all(), across, starts };
}

/** Step tables of the levels of light that come, one after another. */
class StepLevels {
  private readonly made: readonly Map<number, number>[] = [new Map(), new Map(), new Map()];
  private readonly tables: Uint8Array[] = [];
  private readonly corrected: Light['tables'];
  constructor({ tables }: Light) {
    this.corrected = tables;
  }
  /** Writes where the tables start for lights from one to another (not included), three a square. */
  findRow(lights: Float64Array | undefined, from: number, to: number, starts: Int32Array): void {
    for (let k = from; k < to; k++)
      starts[k] = this.startOf((k % 3) as 0 | 1 | 2, levelOf(lights === undefined ? 1 : lights[k]!));
  }
  all(): Uint8Array {
    const steps = new Uint8Array(256 * this.tables.length);
    for (const [k, table] of this.tables.entries()) steps.set(table, 256 * k);
    return steps;
  }
  private startOf(channel: 0 | 1 | 2, level: number): number {
    const known = this.made[channel]!.get(level);
    if (known !== undefined) return known;
    const start = 256 * this.tables.length;
    this.tables.push(stepsAt(this.corrected[channel], Math.exp(level / LEVELS_PER_E)));
    this.made[channel]!.set(level, start);
    return start;
  }
}

/** Steps of all bytes under so much light. */
function stepsAt(corrected: Float32Array, there: number): Uint8Array {
  const table = new Uint8Array(corrected.length);
  for (let code = 0; code < table.length; code++) table[code] = stepOf(corrected[code]! / there);
  return table;
}

function levelOf(light: number): number {
  return Math.round(Math.log(light) * LEVELS_PER_E);
}

/** Step of a reflectance: its sRGB code in 64 steps. */
export function stepOf(reflectance: number): number {
  return Math.min(STEPS - 1, Math.max(0, Math.floor(encodeSrgb(Math.max(0, reflectance)) * STEPS)));
}
