import { type Falloff, lightAt } from '../colour/falloff';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import type { Light } from './light';

/** Squares of this many pixels share one light level; light over a field changes by far less than 1 % across one. */
export const LIGHT_TILE_PX = 16;

type Box = Pick<ClassMap, 'width' | 'height' | 'columnOffset' | 'rowOffset'>;

/** What corrected light is multiplied by in each square of a box. */
export interface LightGains {
  /** Squares in a row. */
  readonly across: number;
  /** Three a square, row by row. */
  readonly gain: Float32Array;
}

/** The light on each square's middle, three numbers a square, row by row: the last asked for with each fall-off, as several steps ask for the same. */
const lastLights = new WeakMap<Falloff, { readonly of: readonly unknown[]; readonly lights: Float64Array }>();

/** Light at the middle of each square of a box, three numbers a square, relative to where the fall-off is 1. */
export function lightsOfSquares(surface: Surface, falloff: Falloff, box: Box): Float64Array {
  const { width, height, columnOffset, rowOffset } = box;
  const of = [surface, width, height, columnOffset, rowOffset];
  const last = lastLights.get(falloff);
  if (last?.of.every((one, k) => one === of[k])) return last.lights;
  const across = Math.ceil(width / LIGHT_TILE_PX);
  const lights = new Float64Array(3 * across * Math.ceil(height / LIGHT_TILE_PX));
  const m = surface.pxToMm;
  for (let tile = 0; 3 * tile < lights.length; tile++) {
    const x = columnOffset + ((tile % across) + 0.5) * LIGHT_TILE_PX;
    const y = rowOffset + (Math.floor(tile / across) + 0.5) * LIGHT_TILE_PX;
    const w = m[6] * x + m[7] * y + m[8];
    const there = lightAt(falloff, (m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w);
    for (let c = 0; c < 3; c++) lights[3 * tile + c] = there[c]!;
  }
  lastLights.set(falloff, { of, lights });
  return lights;
}

/** Gains of the squares of a box: the light's fall-off taken off at each square's middle. */
export function lightGains(surface: Surface, light: Light, box: Box): LightGains {
  const across = Math.ceil(box.width / LIGHT_TILE_PX);
  const gain = new Float32Array(3 * across * Math.ceil(box.height / LIGHT_TILE_PX)).fill(1);
  if (light.falloff !== undefined) {
    const lights = lightsOfSquares(surface, light.falloff, box);
    for (let k = 0; k < gain.length; k++) gain[k] = 1 / lights[k]!;
  }
  return { across, gain };
}

/** Reads light-corrected linear reflectance of the pixels of a box on a photo. */
export class ReflectanceReader {
  constructor(
    private readonly raster: Raster,
    private readonly light: Light,
    private readonly box: Box,
    private readonly gains: LightGains,
  ) {}
  /** Write the three channels of pixel `i` of the box (row-major) into `rgb`, from entry `at` on. */
  read(i: number, rgb: Float64Array | Float32Array, at = 0): void {
    const { width, columnOffset, rowOffset } = this.box;
    const { across, gain } = this.gains;
    const [red, green, blue] = this.light.tables;
    const { data } = this.raster;
    const row = Math.floor(i / width);
    const column = i - row * width;
    const tile = 3 * (Math.floor(row / LIGHT_TILE_PX) * across + Math.floor(column / LIGHT_TILE_PX));
    const k = 3 * ((row + rowOffset) * this.raster.width + column + columnOffset);
    rgb[at] = red[data[k]!]! * gain[tile]!;
    rgb[at + 1] = green[data[k + 1]!]! * gain[tile + 1]!;
    rgb[at + 2] = blue[data[k + 2]!]! * gain[tile + 2]!;
  }
}

/** The same row by row: a function that writes the three channels of the pixels of row `row` of the box into `line`. */
export function reflectanceRows(
  raster: Raster,
  surface: Surface,
  light: Light,
  box: Box,
): (row: number, line: Float32Array) => void {
  const { across, gain } = lightGains(surface, light, box);
  const [red, green, blue] = light.tables;
  const { data } = raster;
  return (row, line) => {
    let tile = 3 * Math.floor(row / LIGHT_TILE_PX) * across;
    let k = 3 * ((row + box.rowOffset) * raster.width + box.columnOffset);
    // Hot loop.
    for (let from = 0, at = 0; from < box.width; from += LIGHT_TILE_PX, tile += 3) {
      const [r, g, b] = [gain[tile]!, gain[tile + 1]!, gain[tile + 2]!];
      const to = 3 * Math.min(box.width, from + LIGHT_TILE_PX);
      for (; at < to; at += 3, k += 3) {
        line[at] = red[data[k]!]! * r;
        line[at + 1] = green[data[k + 1]!]! * g;
        line[at + 2] = blue[data[k + 2]!]! * b;
      }
    }
  };
}
