import { cielabOf } from '../colour/cielab';
import { lightAt } from '../colour/falloff';
import type { Raster } from '../photo/raster';
import { decodeSrgb, encodeSrgb } from '../photo/srgbCurve';
import type { Surface } from '../photo/surface';
import type { FieldBox } from './fieldBox';
import type { Light } from './light';

/** Steps per channel of the colour cube that pixels are sorted into: 6 bits of light-corrected sRGB code. */
export const STEPS = 64;
/** Cells of the colour cube: red x 64 x 64 + green x 64 + blue. */
export const CELLS = STEPS ** 3;
/** Cell of a pixel outside the field. */
export const OUTSIDE = -1;
/** Cell of a pixel whose brightest channel is clipped: its colour is lost. */
export const CLIPPED = -2;

/** Squares of this many pixels share one light level; light over a field changes by far less than 1 % across one. */
const TILE_PX = 16;
/** Light levels are kept in steps of 1/64 in the logarithm, 1.6 %. */
const LEVELS_PER_E = 64;
/** A code from here on may be clipped. */
const CLIPPED_CODE = 252;

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

/**
 * Sort the field's pixels into cells of light-corrected colour: one pass, table look-ups only.
 *
 * The corrected colour is gain times straightened linear light over the light at that place, sRGB-encoded, so that cells
 * are about evenly spaced to the eye; reflectances above 1 (shine) go to the last step.
 */
export function cellsOf(raster: Raster, surface: Surface, light: Light, box: FieldBox): Cells {
  const { width, height, inside } = box;
  const cell = new Int32Array(width * height).fill(OUTSIDE);
  const count = new Uint32Array(CELLS);
  const tables = new StepTables(light);
  const data = raster.data;
  let clipped = 0;
  // Hot loop.
  for (let top = 0; top < height; top += TILE_PX) {
    for (let left = 0; left < width; left += TILE_PX) {
      const [red, green, blue] = tables.at(surface, box.columnOffset + left, box.rowOffset + top);
      const bottom = Math.min(height, top + TILE_PX);
      const right = Math.min(width, left + TILE_PX);
      for (let row = top; row < bottom; row++) {
        for (let column = left; column < right; column++) {
          const i = row * width + column;
          if (inside[i] === 0) continue;
          const at = 3 * ((row + box.rowOffset) * raster.width + column + box.columnOffset);
          const r = data[at]!;
          const g = data[at + 1]!;
          const b = data[at + 2]!;
          if (r >= CLIPPED_CODE && g >= CLIPPED_CODE && b >= CLIPPED_CODE) {
            cell[i] = CLIPPED;
            clipped++;
          } else {
            const k = (red[r]! * STEPS + green[g]!) * STEPS + blue[b]!;
            cell[i] = k;
            count[k]! += 1;
          }
        }
      }
    }
  }
  return { cell, count, clipped, ...coloursOf(count) };
}

function coloursOf(count: Uint32Array): Pick<Cells, 'used' | 'cielab'> {
  const places: number[] = [];
  for (let k = 0; k < CELLS; k++) if (count[k] !== 0) places.push(k);
  const cielab = new Float64Array(3 * places.length);
  for (let k = 0; k < places.length; k++) {
    const { L, a, b } = cielabOf(...reflectanceOfCell(places[k]!));
    cielab[3 * k] = L;
    cielab[3 * k + 1] = a;
    cielab[3 * k + 2] = b;
  }
  return { used: Int32Array.from(places), cielab };
}

/** Corrected linear reflectance at the middle of a cell. */
export function reflectanceOfCell(cell: number): [number, number, number] {
  const step = (k: number) => DECODED[k & (STEPS - 1)]!;
  return [step(cell >> 12), step(cell >> 6), step(cell)];
}

const DECODED = Float64Array.from({ length: STEPS }, (_, k) => decodeSrgb((k + 0.5) / STEPS));

/** Tables from a photo's byte to the step of corrected colour, per channel and light level, made when first needed. */
class StepTables {
  private readonly made: Map<number, Uint8Array>[] = [new Map(), new Map(), new Map()];
  constructor(private readonly light: Light) {}
  at(surface: Surface, left: number, top: number): readonly [Uint8Array, Uint8Array, Uint8Array] {
    const falloff = this.light.falloff;
    if (falloff === undefined) return [this.table(0, 0), this.table(1, 0), this.table(2, 0)];
    const m = surface.pxToMm;
    const x = left + TILE_PX / 2;
    const y = top + TILE_PX / 2;
    const w = m[6] * x + m[7] * y + m[8];
    const [r, g, b] = lightAt(falloff, (m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w);
    return [this.table(0, levelOf(r)), this.table(1, levelOf(g)), this.table(2, levelOf(b))];
  }
  private table(channel: 0 | 1 | 2, level: number): Uint8Array {
    const made = this.made[channel]!;
    let table = made.get(level);
    if (table === undefined) {
      const light = Math.exp(level / LEVELS_PER_E);
      table = Uint8Array.from(this.light.tables[channel], (corrected) => stepOf(corrected / light));
      made.set(level, table);
    }
    return table;
  }
}

function levelOf(light: number): number {
  return Math.round(Math.log(light) * LEVELS_PER_E);
}

/** Step of a reflectance: its sRGB code in 64 steps. */
export function stepOf(reflectance: number): number {
  return Math.min(STEPS - 1, Math.max(0, Math.floor(encodeSrgb(Math.max(0, reflectance)) * STEPS)));
}
