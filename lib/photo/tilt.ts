import type { Raster } from './raster';
import type { Matrix3 } from './surface';

/**
 * Focal length over picture diagonal assumed for the camera: a phone's main camera is close to 26 mm on a 43.3 mm
 * diagonal of 35 mm film. Common practice, no source. Tilt goes as this number, so 20 % of it is 20 % of the tilt.
 */
const FOCAL_PER_DIAGONAL = 26 / 43.27;

/**
 * Angle between the camera's axis and the normal of the flat surface, degrees, from the surface's perspective.
 *
 * @param mmToPx - maps surface millimetres to pixels of the whole, uncropped photo
 * @returns undefined where the map is degenerate
 * @source R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. 2004, 8.1 (columns of K^-1 H are the surface's axes)
 */
export function tiltDegOf(mmToPx: Matrix3, { width, height }: Pick<Raster, 'width' | 'height'>): number | undefined {
  const f = FOCAL_PER_DIAGONAL * Math.hypot(width, height);
  const axis = (x: number, y: number, w: number): [number, number, number] => {
    const v = [(x - (width / 2) * w) / f, (y - (height / 2) * w) / f, w] as const;
    const n = Math.hypot(...v);
    return [v[0] / n, v[1] / n, v[2] / n];
  };
  const u = axis(mmToPx[0], mmToPx[3], mmToPx[6]);
  const v = axis(mmToPx[1], mmToPx[4], mmToPx[7]);
  const normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const;
  const length = Math.hypot(...normal);
  if (!(length > 1e-9)) return undefined;
  return (Math.acos(Math.min(1, Math.abs(normal[2]) / length)) * 180) / Math.PI;
}
