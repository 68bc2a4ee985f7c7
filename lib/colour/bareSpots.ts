import { applyHomography } from '@/lib/photo/homography';
import { matGeometry, type RectMm } from '@/lib/photo/matGeometry';
import type { Raster } from '@/lib/photo/raster';
import { LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import type { Surface } from '@/lib/photo/surface';
import type { BareSpot } from './falloff';

/** Distance between spots, as a share of the field's width: some 5000 on a mat. */
const PITCH_SHARE = 1 / 72;
/** Spots keep this far from print and paper edge, mm on the A5 sheet. */
const CLEAR_MM = 1.5;
/** A code from here on may be clipped. */
const CLIPPED_CODE = 252;

/**
 * Light read on a grid over the whole mat: its margins are surely bare paper, spots inside the field may be.
 * Printed marks and patches are left out, and so are clipped spots.
 *
 * @param straighten - undoes the camera's tone curve on a linear level
 */
export function matSpots(raster: Raster, surface: Surface, straighten: (linear: number) => number): BareSpot[] {
  const geometry = matGeometry('A5'); // every size carries the same drawing, stretched to the surface's field
  const { field } = geometry;
  const kx = surface.fieldWidthMm / field.width;
  const ky = surface.fieldHeightMm / field.height;
  const clear = CLEAR_MM;
  const printed = [...geometry.fiducials, ...geometry.patches];
  const pitch = field.width * PITCH_SHARE;
  const spots: BareSpot[] = [];
  for (let y = clear; y <= geometry.sheetHeightMm - clear; y += pitch) {
    for (let x = clear; x <= geometry.sheetWidthMm - clear; x += pitch) {
      if (printed.some((rect) => isWithin(rect, x, y, clear))) continue;
      const xMm = kx * (x - field.x);
      const yMm = ky * (y - field.y);
      const log = readSpot(raster, surface, xMm, yMm, straighten);
      if (log) spots.push({ xMm, yMm, log, sure: !isWithin(field, x, y, clear) });
    }
  }
  return spots;
}

/** Light on a grid over the field of a plain tray; none of it is surely bare. */
export function fieldSpots(raster: Raster, surface: Surface): BareSpot[] {
  const pitch = surface.fieldWidthMm * PITCH_SHARE;
  const spots: BareSpot[] = [];
  for (let yMm = pitch / 2; yMm < surface.fieldHeightMm; yMm += pitch) {
    for (let xMm = pitch / 2; xMm < surface.fieldWidthMm; xMm += pitch) {
      const log = readSpot(raster, surface, xMm, yMm, (v) => v);
      if (log) spots.push({ xMm, yMm, log, sure: false });
    }
  }
  return spots;
}

/** Mean of 3 x 3 pixels, log of linear light; undefined off the picture, where clipped, or black. */
function readSpot(
  raster: Raster,
  surface: Surface,
  xMm: number,
  yMm: number,
  straighten: (linear: number) => number,
): BareSpot['log'] | undefined {
  const { x, y } = applyHomography(surface.mmToPx, xMm, yMm);
  const column = Math.floor(x);
  const row = Math.floor(y);
  if (column < 1 || row < 1 || column > raster.width - 2 || row > raster.height - 2) return undefined;
  let [red, green, blue] = [0, 0, 0];
  const { data } = raster;
  for (let dy = -1; dy <= 1; dy++) {
    for (let dx = -1; dx <= 1; dx++) {
      const at = 3 * ((row + dy) * raster.width + column + dx);
      const [r, g, b] = [data[at]!, data[at + 1]!, data[at + 2]!];
      if (r >= CLIPPED_CODE || g >= CLIPPED_CODE || b >= CLIPPED_CODE) return undefined;
      red += LINEAR_OF_CODE[r]!;
      green += LINEAR_OF_CODE[g]!;
      blue += LINEAR_OF_CODE[b]!;
    }
  }
  const log = (sum: number) => Math.log(Math.max(1e-4, straighten(sum / 9)));
  return [log(red), log(green), log(blue)];
}

function isWithin(rect: RectMm, x: number, y: number, clear: number): boolean {
  return (
    x > rect.x - clear && x < rect.x + rect.width + clear && y > rect.y - clear && y < rect.y + rect.height + clear
  );
}
