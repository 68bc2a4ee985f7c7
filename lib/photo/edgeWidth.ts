import type { Raster } from './raster';
import { luminanceAt } from './srgbCurve';
import type { Surface } from './surface';

/** Half length of the window along the slope in which a step's height is read, pixels. */
const REACH_PX = 8;
/** Steps looked at: the steepest ones, spread over the field in tiles so that one glint does not speak for all. */
const TILES = 16;
/** Samples along the field's box, about: a tile of it then has hundreds, and a finer photo no more than a coarse one. */
const SAMPLES_ACROSS = 450;
/** A step lower than this, in linear light, is noise. */
const LEAST_STEP = 0.08;

/**
 * Sharpness of the field where no printed mark shows it: 10 to 90 % width, in pixels, of the steepest steps of the pieces'
 * own outlines, in linear light.
 *
 * For a blurred step, height over steepest slope equals that width (2.51 against 2.56 standard deviations of a Gaussian
 * blur). Each tile of the field gives its steepest step; the result is their median.
 *
 * @returns undefined where the field shows hardly any step
 */
export function edgeWidthOfField(raster: Raster, surface: Pick<Surface, 'cornersPx'>): number | undefined {
	const xs = surface.cornersPx.map((p) => p.x);
	const ys = surface.cornersPx.map((p) => p.y);
	const left = Math.max(REACH_PX + 1, Math.min(...xs));
	const right = Math.min(raster.width - REACH_PX - 2, Math.max(...xs));
	const top = Math.max(REACH_PX + 1, Math.min(...ys));
	const bottom = Math.min(raster.height - REACH_PX - 2, Math.max(...ys));
	const pitch = Math.max(2, Math.round((right - left) / SAMPLES_ACROSS));
	const widths: number[] = [];
	for (let i = 0; i < TILES; i++) {
		for (let j = 0; j < TILES; j++) {
			const width = steepest(
				raster,
				Math.round(left + ((right - left) * i) / TILES),
				Math.round(top + ((bottom - top) * j) / TILES),
				Math.round(left + ((right - left) * (i + 1)) / TILES),
				Math.round(top + ((bottom - top) * (j + 1)) / TILES),
				pitch,
			);
			if (width !== undefined) widths.push(width);
		}
	}
	if (widths.length < TILES) return undefined;
	widths.sort((a, b) => a - b);
	return widths[widths.length >> 1];
}

/** Width of the steepest step along a row or a column of a tile. Hot loop over the field's samples. */
function steepest(
	raster: Raster,
	first: number,
	top: number,
	last: number,
	bottom: number,
	pitch: number,
): number | undefined {
	const { data } = raster;
	const rowBytes = 3 * raster.width;
	let slope = 0;
	let at = 0;
	let stride = 3;
	for (let row = top; row < bottom; row += pitch) {
		for (let column = first; column < last; column += pitch) {
			const here = row * rowBytes + 3 * column;
			const across = Math.abs(luminanceAt(data, here + 3) - luminanceAt(data, here - 3)) / 2;
			const down = Math.abs(luminanceAt(data, here + rowBytes) - luminanceAt(data, here - rowBytes)) / 2;
			if (Math.max(across, down) <= slope) continue;
			slope = Math.max(across, down);
			at = here;
			stride = across >= down ? 3 : rowBytes;
		}
	}
	if (slope === 0) return undefined;
	// walk to both sides as long as the light keeps going the same way
	const sign = Math.sign(luminanceAt(raster.data, at + stride) - luminanceAt(raster.data, at - stride));
	const end = (direction: 1 | -1) => {
		let level = luminanceAt(raster.data, at);
		for (let k = 1; k <= REACH_PX; k++) {
			const next = luminanceAt(raster.data, at + direction * k * stride);
			if ((next - level) * sign * direction <= 0) break;
			level = next;
		}
		return level;
	};
	const height = Math.abs(end(1) - end(-1));
	return height < LEAST_STEP ? undefined : height / slope;
}
