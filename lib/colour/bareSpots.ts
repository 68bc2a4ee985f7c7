import { applyHomography } from '@/lib/photo/homography';
import { matGeometry, type RectMm } from '@/lib/photo/matGeometry';
import type { Raster } from '@/lib/photo/raster';
import { LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import type { Surface } from '@/lib/photo/surface';
import type { BareSpot } from './falloff';
import { STRAIGHT, type Tone, unbend } from './tone';

/** Distance between spots, as a share of the field's width: some 5000 on a mat. */
const PITCH_SHARE = 1 / 72;
/** Spots keep this far from print and paper edge, mm on the A5 sheet. */
const CLEAR_MM = 1.5;
/** A code from here on may be clipped. */
const CLIPPED_CODE = 252;

/** A spot as the photo's codes say it, before the camera's tone curve is undone. */
export interface SpotRead extends Omit<BareSpot, 'log'> {
  readonly linear: readonly [number, number, number];
}

/**
 * Light read on a grid over the whole mat: its margins are surely bare paper, spots inside the field may be.
 * Printed marks and patches are left out, and so are clipped spots.
 */
export function matSpots(raster: Raster, surface: Surface): SpotRead[] {
  const geometry = matGeometry('A5'); // every size carries the same drawing, stretched to the surface's field
  const { field } = geometry;
  const kx = surface.fieldWidthMm / field.width;
  const ky = surface.fieldHeightMm / field.height;
  const clear = CLEAR_MM;
  const printed = [...geometry.fiducials, ...geometry.patches];
  const pitch = field.width * PITCH_SHARE;
  const spots: SpotRead[] = [];
  for (let y = clear; y <= geometry.sheetHeightMm - clear; y += pitch) {
    const besides = printed.filter((rect) => y > rect.y - clear && y < rect.y + rect.height + clear);
    for (let x = clear; x <= geometry.sheetWidthMm - clear; x += pitch) {
      if (isWithinAny(besides, x, y, clear)) continue;
      const xMm = kx * (x - field.x);
      const yMm = ky * (y - field.y);
      const linear = readSpot(raster, surface, xMm, yMm);
      if (linear) spots.push({ xMm, yMm, linear, sure: !isWithin(field, x, y, clear) });
    }
  }
  return spots;
}

/** Light on a grid over the field of a plain tray; none of it is surely bare. */
export function fieldSpots(raster: Raster, surface: Surface): BareSpot[] {
  const pitch = surface.fieldWidthMm * PITCH_SHARE;
  const spots: SpotRead[] = [];
  for (let yMm = pitch / 2; yMm < surface.fieldHeightMm; yMm += pitch) {
    for (let xMm = pitch / 2; xMm < surface.fieldWidthMm; xMm += pitch) {
      const linear = readSpot(raster, surface, xMm, yMm);
      if (linear) spots.push({ xMm, yMm, linear, sure: false });
    }
  }
  return straightened(spots, STRAIGHT);
}

/** The spots' light in its logarithm, the camera's tone curve undone. */
export function straightened(spots: readonly SpotRead[], tone: Tone): BareSpot[] {
  const straight: BareSpot[] = [];
  for (const { xMm, yMm, sure, linear } of spots) {
    const [r, g, b] = linear;
    straight.push({ xMm, yMm, sure, log: [logOf(r, tone), logOf(g, tone), logOf(b, tone)] });
  }
  return straight;
}

function logOf(level: number, tone: Tone): number {
  return Math.log(Math.max(1e-4, unbend(level, tone)));
}

/** Mean of 3 x 3 pixels in linear light; undefined off the picture and where clipped. */
function readSpot(raster: Raster, surface: Surface, xMm: number, yMm: number): SpotRead['linear'] | undefined {
  const { x, y } = applyHomography(surface.mmToPx, xMm, yMm);
  const column = Math.floor(x);
  const row = Math.floor(y);
  if (column < 1 || row < 1 || column > raster.width - 2 || row > raster.height - 2) return undefined;
  let [red, green, blue] = [0, 0, 0];
  const { data } = raster;
  for (let dy = -1; dy <= 1; dy++) {
    for (let dx = -1; dx <= 1; dx++) {
      const at = 3 * ((row + dy) * raster.width + column + dx);
      const r = data[at]!;
      const g = data[at + 1]!;
      const b = data[at + 2]!;
      if (r >= CLIPPED_CODE || g >= CLIPPED_CODE || b >= CLIPPED_CODE) return undefined;
      red += LINEAR_OF_CODE[r]!;
      green += LINEAR_OF_CODE[g]!;
      blue += LINEAR_OF_CODE[b]!;
    }
  }
  return [red / 9, green / 9, blue / 9];
}

function isWithinAny(rects: readonly RectMm[], x: number, y: number, clear: number): boolean {
  for (const rect of rects) if (isWithin(rect, x, y, clear)) return true;
  return false;
}

function isWithin(rect: RectMm, x: number, y: number, clear: number): boolean {
  return (
    x > rect.x - clear && x < rect.x + rect.width + clear && y > rect.y - clear && y < rect.y + rect.height + clear
  );
}
