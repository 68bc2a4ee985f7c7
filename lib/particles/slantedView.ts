import type { MaterialClass } from '../material/classes';
import type { Surface } from '../photo/surface';

/** How a piece stands on the surface: a lying rod with cut ends, or a block, whose sides a slanted look shows as well. */
type Solid = 'rod' | 'block';

/** Metal is chopped from wire; insulation and the rest come as sleeves, chips and lumps. */
const SOLID_OF: Readonly<Record<MaterialClass, Solid>> = {
  brightCopper: 'rod',
  tinnedCopper: 'rod',
  aluminium: 'rod',
  insulation: 'block',
  other: 'block',
};

/**
 * Height of a lying block over its width: sleeves 0.9, split ones 0.5, chips 0.45, lumps 0.7, in equal parts (common practice, no source).
 */
const BLOCK_HEIGHT_PER_WIDTH = 0.64;

/** How high a lying piece of the class stands, over its width. */
export function heightPerWidth(name: MaterialClass): number {
  return SOLID_OF[name] === 'rod' ? 1 : BLOCK_HEIGHT_PER_WIDTH;
}

/** Tangent of the angle between the line of sight and the surface's normal at a place on the field; 0 where the camera's place is unknown. */
export function slantAt({ camera }: Pick<Surface, 'camera'>, xMm: number, yMm: number): number {
  if (camera === undefined) return 0;
  return Math.hypot(xMm - camera.xMm, yMm - camera.yMm) / camera.heightMm;
}

/**
 * By how much width times area of a lying piece is read too large: what stands up is nearer to the lens, and a slanted look sees sides
 * and ends as well. Mean over all directions the piece may lie in.
 *
 * A rod of width d shows a breadth of d sqrt(1 + t^2 sin^2) and the disc of one end, (pi/4) d^2 t |cos|. A box shows its sides, height
 * times t along the sight; an ellipsoid only what bulges over. Blocks count as half way between these. Limit: piles lean.
 *
 * @param name - its class tells whether it counts as a rod or a block
 * @param slant - tangent of the angle off the surface's normal, t
 * @param stubbiness - width over length of the class's pieces, 0 to 1
 * @returns factor of at least one
 * @source shadows of convex solids (Cauchy): sum over a prism's faces, root of the sum of squares for an ellipsoid; worked out here
 */
export function seenTooLarge(
  name: MaterialClass,
  slant: number,
  widthMm: number,
  stubbiness: number,
  cameraHeightMm: number,
): number {
  const height = widthMm * heightPerWidth(name);
  const nearer = (cameraHeightMm / Math.max(cameraHeightMm / 2, cameraHeightMm - height / 2)) ** 3;
  if (SOLID_OF[name] === 'rod') return nearer * (1 + slant ** 2 / 2 + (slant * stubbiness) / 2);
  const rise = BLOCK_HEIGHT_PER_WIDTH * slant;
  // the mean of |cos| over all directions is 2/pi
  const box = (1 + (2 / Math.PI) * rise * (1 + stubbiness)) * (1 + (2 / Math.PI) * rise);
  const ellipsoid = 1 + (rise ** 2 * (2 + stubbiness ** 2)) / 4;
  return (nearer * (box + ellipsoid)) / 2;
}
