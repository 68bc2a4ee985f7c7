import type { Raster } from './raster';
import { cellAt, DEEP_SHADE, GROUND, type Ground, lightByCell, offsetAt } from './sideShade';
import { LINEAR_OF_CODE, luminanceAt } from './srgbCurve';
import type { Surface } from './surface';

/** Share of a cell's looks that are surely no brighter than paper: glints lie above. */
const PAPER_QUANTILE = 0.9;
/** Paper in the light lies so close to that, and its red and blue over green so close to the paper's, either way. */
const LIT = { low: 0.75, high: 1 / 0.75, hue: 1.25 };
/**
 * Red and blue over green, over the paper's, that shade may have: from what shines back from copper beside it to the light of the sky alone,
 * which is that of 7000 to 12,000 K where the sun's is 3600 to 5800 K (Planck's law). Coloured pieces lie outside.
 */
const SHADE_HUE = { redLow: 0.58, redHigh: 1.28, blueLow: 0.86, blueHigh: 2.2 };

/** A mat's field by colour alone: what is as bright as paper and of its hue is bare, what is dark and of a hue that light may have is shade. */
export class PaperGround implements Ground {
	private readonly light: Float64Array;
	constructor(
		private readonly raster: Raster,
		private readonly surface: Surface,
	) {
		this.light = lightByCell(raster, surface, PAPER_QUANTILE, () => true);
	}

	at(xMm: number, yMm: number): number {
		const { raster, surface, light } = this;
		const at = offsetAt(raster, surface.mmToPx, xMm, yMm);
		if (at < 0) return GROUND.outside;
		const cell = 4 * cellAt(surface, xMm, yMm);
		const bright = luminanceAt(raster.data, at) / light[cell]!;
		if (bright > LIT.high) return GROUND.piece;
		const [red, green, blue] = [this.overPaper(at, cell, 0), this.overPaper(at, cell, 1), this.overPaper(at, cell, 2)];
		if (bright > LIT.low) return isNear(red / green) && isNear(blue / green) ? GROUND.bare : GROUND.piece;
		if (red < SHADE_HUE.redLow * green || red > SHADE_HUE.redHigh * green) return GROUND.piece;
		if (blue < SHADE_HUE.blueLow * green || blue > SHADE_HUE.blueHigh * green) return GROUND.piece;
		return bright < DEEP_SHADE ? GROUND.shade : GROUND.bare;
	}

	/** One channel over the paper's; never quite nought, so that ratios stay ratios. */
	private overPaper(at: number, cell: number, channel: number): number {
		return (LINEAR_OF_CODE[this.raster.data[at + channel]!]! + 1e-4) / this.light[cell + 1 + channel]!;
	}
}

function isNear(ratio: number): boolean {
	return ratio < LIT.hue && ratio > 1 / LIT.hue;
}
