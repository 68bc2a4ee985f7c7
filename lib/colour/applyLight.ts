import { applyHomography } from '@/lib/photo/homography';
import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';
import type { LightCorrection } from './correctLight';
import { lightAt } from './falloff';
import { codeOf } from './linearise';

/** A part of the photo in whole pixels. */
export interface PixelBox {
  readonly columnOffset: number;
  readonly rowOffset: number;
  readonly width: number;
  readonly height: number;
}

/** Light is taken as even over blocks of this many pixels: it changes by well under a per cent across one. */
const BLOCK_PX = 16;

/** Fineness of the fall-off steps for corrected codes: half a per cent, a third of a code near white. */
const LEVELS_PER_E_FOLD = 200;

/** The field's bounding box, cut off at the picture's edges. */
export function fieldBox(surface: Surface, raster: Pick<Raster, 'width' | 'height'>): PixelBox {
  const xs = surface.cornersPx.map((p) => p.x);
  const ys = surface.cornersPx.map((p) => p.y);
  const columnOffset = Math.max(0, Math.floor(Math.min(...xs)));
  const rowOffset = Math.max(0, Math.floor(Math.min(...ys)));
  return {
    columnOffset,
    rowOffset,
    width: Math.max(0, Math.min(raster.width, Math.ceil(Math.max(...xs))) - columnOffset),
    height: Math.max(0, Math.min(raster.height, Math.ceil(Math.max(...ys))) - rowOffset),
  };
}

/**
 * Corrected linear reflectance of every pixel in a box: height x width x 3, row-major, 1 per channel for a perfect white;
 * highlights go above 1.
 *
 * Twelve bytes a pixel: for a whole field of 12 megapixels rather use `correctedCodes`.
 */
export function applyLight(raster: Raster, surface: Surface, light: LightCorrection, box: PixelBox): Float32Array {
  const out = new Float32Array(3 * box.width * box.height);
  const [red, green, blue] = light.tables;
  // hot loop, held to `reflectanceAt` in the tests
  forBlocks(surface, light, box, (r, g, b, column, row, width) => {
    let from = 3 * ((row + box.rowOffset) * raster.width + column + box.columnOffset);
    let to = 3 * (row * box.width + column);
    for (let i = 0; i < width; i++, from += 3, to += 3) {
      out[to] = red[raster.data[from]!]! / r;
      out[to + 1] = green[raster.data[from + 1]!]! / g;
      out[to + 2] = blue[raster.data[from + 2]!]! / b;
    }
  });
  return out;
}

/**
 * Corrected sRGB codes of every pixel in a box: height x width x 3 bytes, ready for a lookup table of colours. Reflectance
 * above 1 becomes 255; look at the photo's own codes to know what the camera clipped.
 *
 * Three table reads a pixel.
 */
export function correctedCodes(raster: Raster, surface: Surface, light: LightCorrection, box: PixelBox): Uint8Array {
  const out = new Uint8Array(3 * box.width * box.height);
  const tables = light.tables.map((table) => new CodeTables(table)) as [CodeTables, CodeTables, CodeTables];
  forBlocks(surface, light, box, (r, g, b, column, row, width) => {
    const red = tables[0].at(r);
    const green = tables[1].at(g);
    const blue = tables[2].at(b);
    let from = 3 * ((row + box.rowOffset) * raster.width + column + box.columnOffset);
    let to = 3 * (row * box.width + column);
    for (let i = 0; i < width; i++, from += 3, to += 3) {
      out[to] = red[raster.data[from]!]!;
      out[to + 1] = green[raster.data[from + 1]!]!;
      out[to + 2] = blue[raster.data[from + 2]!]!;
    }
  });
  return out;
}

/** Corrected linear reflectance of one pixel; the slow, obvious way. */
export function reflectanceAt(
  raster: Raster,
  surface: Surface,
  light: LightCorrection,
  column: number,
  row: number,
): [number, number, number] {
  const { x, y } = applyHomography(surface.pxToMm, column + 0.5, row + 0.5);
  const there = light.falloff ? lightAt(light.falloff, x, y) : [1, 1, 1];
  const at = 3 * (row * raster.width + column);
  return light.tables.map((table, c) => table[raster.data[at + c]!]! / there[c]!) as [number, number, number];
}

/** Code-to-code tables of one channel, one for each step of light, made when first asked for. */
class CodeTables {
  private readonly made = new Map<number, Uint8Array>();
  constructor(private readonly table: Float32Array) {}

  at(light: number): Uint8Array {
    const level = Math.round(LEVELS_PER_E_FOLD * Math.log(light));
    let codes = this.made.get(level);
    if (!codes) {
      const even = Math.exp(level / LEVELS_PER_E_FOLD);
      codes = Uint8Array.from(this.table, (linear) => codeOf(linear / even));
      this.made.set(level, codes);
    }
    return codes;
  }
}

type BlockVisitor = (r: number, g: number, b: number, column: number, row: number, width: number) => void;

/** Visit every row piece of every block with the light at the block's middle. */
function forBlocks(surface: Surface, light: LightCorrection, box: PixelBox, visit: BlockVisitor): void {
  const { falloff } = light;
  for (let top = 0; top < box.height; top += BLOCK_PX) {
    const height = Math.min(BLOCK_PX, box.height - top);
    for (let left = 0; left < box.width; left += BLOCK_PX) {
      const width = Math.min(BLOCK_PX, box.width - left);
      let there: readonly [number, number, number] = [1, 1, 1];
      if (falloff) {
        const x = left + box.columnOffset + width / 2;
        const y = top + box.rowOffset + height / 2;
        const mm = applyHomography(surface.pxToMm, x, y);
        there = lightAt(falloff, mm.x, mm.y);
      }
      for (let row = top; row < top + height; row++) visit(there[0], there[1], there[2], left, row, width);
    }
  }
}
