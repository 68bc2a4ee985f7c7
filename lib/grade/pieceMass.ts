import type { ClassModel } from '../material/material';
import type { Piece } from '../particles/measure';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import type { Estimate } from '../quantity/quantity';
import { breadthU } from './rims';

/**
 * Mass of one piece from its area and widths on the photo, milligrams.
 *
 * Volume as for whole spreads: shape factor times width times area, or sheet thickness times area. Copper locked in a piece
 * of insulation is left out. The range holds what is not known of density, shape and sheet thickness, and where within a
 * pixel either rim lies: a wire's volume goes with the square of its width.
 *
 * @param pixelMm - side of a pixel on the surface
 * @source relative errors combined: JCGM 100:2008 (GUM) 5.1.6
 */
export function pieceMassMg(
	piece: Pick<Piece, 'areaMm2' | 'widthAreaMm3' | 'sheetShare' | 'meanWidthMm'>,
	{ densityKgPerM3, shape }: Pick<ClassModel, 'densityKgPerM3' | 'shape'>,
	pixelMm: number,
): Estimate {
	const sheetShare = shape.sheetThicknessMm === undefined ? 0 : piece.sheetShare;
	const byWidthMm3 = shape.factor.value * piece.widthAreaMm3 * (1 - sheetShare);
	const bySheetMm3 = (shape.sheetThicknessMm?.value ?? 0) * piece.areaMm2 * sheetShare;
	const volumeMm3 = byWidthMm3 + bySheetMm3;
	if (!(volumeMm3 > 0)) return { value: 0, low: 0, high: 0 };
	const value = volumeMm3 * densityKgPerM3.value * 1e-3;
	const rim = breadthU(pixelMm, piece.meanWidthMm);
	const thickness =
		(byWidthMm3 * (shape.factor.u / shape.factor.value)) / volumeMm3 +
		(bySheetMm3 * ((shape.sheetThicknessMm?.u ?? 0) / (shape.sheetThicknessMm?.value ?? 1))) / volumeMm3;
	const relative = Math.hypot(
		densityKgPerM3.u / densityKgPerM3.value,
		thickness,
		(rim * (2 * byWidthMm3 + bySheetMm3)) / volumeMm3,
	);
	const spread = Math.exp(COVERAGE_FACTOR * relative);
	return { value, low: value / spread, high: value * spread };
}
