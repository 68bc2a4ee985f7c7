import { applyHomography, homographyOf } from './homography';
import { MODULES_PER_SIDE, whiteModules } from './markerCodes';
import type { PointPx, Raster } from './raster';
import { encodeSrgb, luminanceAt } from './srgbCurve';

/** Sampling places inside a module, in modules: its middle, clear of the soft edges. */
const PLACES = [0.3, 0.5, 0.7] as const;

/**
 * How well a picture agrees with the mark it was taken for: share of places inside the mark's 36 modules that are dark
 * where they should be dark and light where they should be light.
 *
 * A mark of another dictionary has another number of modules, so its squares straddle ours and few places fit, even
 * where the detector, which looks at each module's majority only, reads a code that is one bit off a real one.
 *
 * @param corners - of the mark's black square, clockwise from its own top-left
 * @returns 0 to 1; 0 where black and white cannot be told apart
 */
export function markerFit(raster: Raster, corners: readonly PointPx[], id: number): number {
	const square = [0, MODULES_PER_SIDE];
	const toPhoto = homographyOf(
		[
			{ x: square[0]!, y: square[0]! },
			{ x: square[1]!, y: square[0]! },
			{ x: square[1]!, y: square[1]! },
			{ x: square[0]!, y: square[1]! },
		],
		corners,
	);
	const white = whiteModules(id);
	const samples: { level: number; white: boolean }[] = [];
	for (const [row, modules] of white.entries()) {
		for (const [column, isWhite] of modules.entries()) {
			for (const dy of PLACES) {
				for (const dx of PLACES) {
					const { x, y } = applyHomography(toPhoto, column + dx, row + dy);
					samples.push({ level: levelAt(raster, x, y), white: isWhite });
				}
			}
		}
	}
	const light = meanLevel(samples, true);
	const dark = meanLevel(samples, false);
	if (!(light - dark > 0.1)) return 0;
	const middle = (light + dark) / 2;
	return samples.filter((s) => s.level > middle === s.white).length / samples.length;
}

/** Luminance as an sRGB code, 0 to 1: perceptually even, so that the middle suits shadow and light alike. */
function levelAt(raster: Raster, x: number, y: number): number {
	const column = Math.min(Math.max(Math.floor(x), 0), raster.width - 1);
	const row = Math.min(Math.max(Math.floor(y), 0), raster.height - 1);
	return encodeSrgb(luminanceAt(raster.data, 3 * (row * raster.width + column)));
}

function meanLevel(samples: readonly { level: number; white: boolean }[], white: boolean): number {
	const own = samples.filter((s) => s.white === white);
	return own.reduce((sum, s) => sum + s.level, 0) / own.length;
}
