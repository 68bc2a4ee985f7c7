import { luminanceBetween } from './luminanceBetween';
import type { PointPx, Raster } from './raster';

/** Half side of the window, its weight and when to stop, as common detectors set them. */
const REACH_PX = 5;
const ROUNDS = 30;
const STILL_PX = 0.01;
const CODE_GAMMA = 2.2;

/**
 * The point near `start` where the picture's slopes meet: the place at which the lines across all slopes in a small window
 * cross best. This is the corner that other detectors report, so marks can be compared with theirs.
 *
 * Limit: in a blurred picture it lies inside the black square, more so the softer the picture.
 *
 * @returns `start` where there is no corner within the window
 * @source W. Foerstner, E. Guelch, A fast operator for detection and precise location of distinct points, corners and centres
 *   of circular features, ISPRS Intercommission Workshop, Interlaken 1987 (from memory)
 */
export function cornerPoint(raster: Raster, start: PointPx): PointPx {
	let at = start;
	for (let round = 0; round < ROUNDS; round++) {
		const step = stepTowards(raster, at);
		if (!step) return start;
		at = { x: at.x + step.x, y: at.y + step.y };
		if (Math.hypot(at.x - start.x, at.y - start.y) > REACH_PX) return start;
		if (Math.hypot(step.x, step.y) < STILL_PX) break;
	}
	return at;
}

/** One least-squares step; undefined where slopes run one way only. */
function stepTowards(raster: Raster, at: PointPx): PointPx | undefined {
	const code = (x: number, y: number) => luminanceBetween(raster, x, y) ** (1 / CODE_GAMMA);
	let [xx, xy, yy, x, y] = [0, 0, 0, 0, 0];
	for (let dy = -REACH_PX; dy <= REACH_PX; dy++) {
		for (let dx = -REACH_PX; dx <= REACH_PX; dx++) {
			const gx = (code(at.x + dx + 1, at.y + dy) - code(at.x + dx - 1, at.y + dy)) / 2;
			const gy = (code(at.x + dx, at.y + dy + 1) - code(at.x + dx, at.y + dy - 1)) / 2;
			const weight = Math.exp(-(dx * dx + dy * dy) / (REACH_PX * REACH_PX));
			xx += weight * gx * gx;
			xy += weight * gx * gy;
			yy += weight * gy * gy;
			x += weight * (gx * gx * dx + gx * gy * dy);
			y += weight * (gx * gy * dx + gy * gy * dy);
		}
	}
	const det = xx * yy - xy * xy;
	if (!(det > 1e-3 * (xx + yy) ** 2)) return undefined;
	return { x: (yy * x - xy * y) / det, y: (xx * y - xy * x) / det };
}
