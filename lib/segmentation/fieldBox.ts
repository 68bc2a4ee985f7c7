import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';

/** The part of a photo that holds the field. */
export interface FieldBox {
  readonly width: number;
  readonly height: number;
  /** Where the box's top-left pixel sits on the upright photo. */
  readonly columnOffset: number;
  readonly rowOffset: number;
  /** 1 for pixels whose centre lies inside the field, else 0; height x width. */
  readonly inside: Uint8Array;
}

/**
 * Bounding box of the field, clipped to the photo.
 *
 * @returns a box without pixels where the field lies outside the photo
 */
export function fieldBoxOf(raster: Pick<Raster, 'width' | 'height'>, surface: Surface): FieldBox {
  const xs = surface.cornersPx.map((p) => p.x);
  const ys = surface.cornersPx.map((p) => p.y);
  const columnOffset = Math.max(0, Math.floor(Math.min(...xs)));
  const rowOffset = Math.max(0, Math.floor(Math.min(...ys)));
  const width = Math.max(0, Math.min(raster.width, Math.ceil(Math.max(...xs))) - columnOffset);
  const height = Math.max(0, Math.min(raster.height, Math.ceil(Math.max(...ys))) - rowOffset);
  const inside = new Uint8Array(width * height);
  const m = surface.pxToMm;
  // Hot loop.
  for (let row = 0; row < height; row++) {
    const y = row + rowOffset + 0.5;
    for (let column = 0; column < width; column++) {
      const x = column + columnOffset + 0.5;
      const w = m[6] * x + m[7] * y + m[8];
      const xMm = (m[0] * x + m[1] * y + m[2]) / w;
      const yMm = (m[3] * x + m[4] * y + m[5]) / w;
      const within = xMm >= 0 && yMm >= 0 && xMm <= surface.fieldWidthMm && yMm <= surface.fieldHeightMm;
      if (within) inside[row * width + column] = 1;
    }
  }
  return { width, height, columnOffset, rowOffset, inside };
}
