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

/** Knives cut obliquely: a cut face leans off upright by up to 30 degrees either way, evenly (common practice, no source). */
const MOST_LEAN = Math.tan(Math.PI / 6);

/**
 * What two opposite cut faces of height one add to a piece's extent across them when it is looked at aslant.
 *
 * A face that leans by m sticks out by max(0, m) of its height from straight above, and by max(0, m + t cos) from a slant t at an angle
 * to it. Mean over all leans and directions: upright faces would add 2 t / pi, faces that lean further than the look itself t^2 / (4 m),
 * much less, since what comes out on one side goes in on the other.
 *
 * @param slant - tangent of the angle off the surface's normal, t
 * @param mostLean - largest tangent of a face's lean off upright, m
 */
export function cutFacesAdd(slant: number, mostLean = MOST_LEAN): number {
	if (slant <= mostLean) return slant ** 2 / (4 * mostLean);
	// directions up to this angle look past every lean
	const beyond = Math.acos(mostLean / slant);
	const past = (slant * Math.sin(beyond)) / 2 - (mostLean * beyond) / 4;
	const within = (slant ** 2 / (8 * mostLean)) * (Math.PI / 2 - beyond - Math.sin(2 * beyond) / 2);
	return (4 / Math.PI) * (past + within);
}

/**
 * By how much width times area of a lying piece is read too large: what stands up is nearer to the lens, and a slanted look sees sides
 * and ends as well. Mean over all directions the piece may lie in.
 *
 * A rod of width d shows a breadth of d sqrt(1 + t^2 sin^2) and part of its cut ends. A block that is cut all round shows of each face what
 * `cutFacesAdd` says, over its height; an ellipsoid only what bulges over. Blocks count as half way between these. Limit: piles lean.
 *
 * @param name - its class tells whether it counts as a rod or a block
 * @param slant - tangent of the angle off the surface's normal, t
 * @param stubbiness - width over length of the class's pieces, 0 to 1
 * @returns factor of at least one
 * @source shadows of convex solids (Cauchy): root of the sum of squares for rods and ellipsoids; cut faces worked out here
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
	const faces = cutFacesAdd(slant);
	// a round end is as a square one of pi/4 its area
	if (SOLID_OF[name] === 'rod') return nearer * (1 + slant ** 2 / 2 + (Math.PI / 4) * faces * stubbiness);
	const across = BLOCK_HEIGHT_PER_WIDTH * faces;
	const block = (1 + across) ** 2 * (1 + across * stubbiness);
	const ellipsoid = 1 + ((BLOCK_HEIGHT_PER_WIDTH * slant) ** 2 * (2 + stubbiness ** 2)) / 4;
	return (nearer * (block + ellipsoid)) / 2;
}
