import type { Raster } from './raster';

/** A grey picture of the logarithm of light, so that an edge counts the same in shade and in the sun. */
export interface LogPicture {
	readonly width: number;
	readonly height: number;
	/** Row-major, one value a pixel. */
	readonly log: Float32Array;
}

/** Keeps black from weighing more than anything else: sRGB codes below this are noise. */
const DARK_CODE = 8;

/** Means of step x step blocks as the logarithm of their luma code. Hot loop over every pixel. */
export function logPictureOf(raster: Raster, step: number): LogPicture {
	const width = Math.floor(raster.width / step);
	const height = Math.floor(raster.height / step);
	const log = new Float32Array(width * height);
	for (let row = 0; row < height; row++) {
		for (let column = 0; column < width; column++) {
			let sum = 0;
			for (let dy = 0; dy < step; dy++) {
				let at = 3 * ((row * step + dy) * raster.width + column * step);
				for (let dx = 0; dx < step; dx++, at += 3) {
					sum += 77 * raster.data[at]! + 150 * raster.data[at + 1]! + 29 * raster.data[at + 2]!;
				}
			}
			log[row * width + column] = Math.log(DARK_CODE + sum / (256 * step * step));
		}
	}
	return { width, height, log };
}
