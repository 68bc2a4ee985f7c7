import type { Raster } from './raster';
import { luminanceAt } from './srgbCurve';

/** Linear luminance between pixel centres (which sit at halves); the picture's rim is carried outwards. */
export function luminanceBetween(raster: Raster, x: number, y: number): number {
	const u = Math.min(Math.max(x - 0.5, 0), raster.width - 1);
	const v = Math.min(Math.max(y - 0.5, 0), raster.height - 1);
	const column = Math.min(Math.floor(u), raster.width - 2);
	const row = Math.min(Math.floor(v), raster.height - 2);
	const fx = u - column;
	const fy = v - row;
	const at = 3 * (row * raster.width + column);
	const below = at + 3 * raster.width;
	const top = luminanceAt(raster.data, at) * (1 - fx) + luminanceAt(raster.data, at + 3) * fx;
	const bottom = luminanceAt(raster.data, below) * (1 - fx) + luminanceAt(raster.data, below + 3) * fx;
	return top * (1 - fy) + bottom * fy;
}
