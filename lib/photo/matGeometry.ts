import type { PointMm } from './raster';

/** Sheet sizes the mat is printed on. */
export const MAT_SIZES = ['A5', 'A4', 'Letter'] as const;
export type MatSize = (typeof MAT_SIZES)[number];

/** A rectangle on the sheet, millimetres from the sheet's top-left corner, y down. */
export interface RectMm {
	readonly x: number;
	readonly y: number;
	readonly width: number;
	readonly height: number;
}

/** One neutral patch and the sRGB code (all three channels alike) it is printed with. */
export interface GreyPatchMm extends RectMm {
	readonly code: number;
}

/** Everything printed on one size of the spread mat, in millimetres from the sheet's top-left corner. */
export interface MatGeometry {
	readonly size: MatSize;
	readonly sheetWidthMm: number;
	readonly sheetHeightMm: number;
	/** Marks at top-left, top-right, bottom-right, bottom-left: their ids in the 4 x 4 dictionary and their black squares. */
	readonly fiducials: readonly (RectMm & { readonly id: number })[];
	readonly patches: readonly GreyPatchMm[];
	/** Where the sample is spread. */
	readonly field: RectMm;
	/** The line a user measures to learn what the printer really drew: ends on the sheet; 100 mm when printed true. */
	readonly checkLine: { readonly from: PointMm; readonly to: PointMm };
}

/** Length of the check line, mm. */
export const CHECK_LINE_MM = 100;

const BASE_SHEET = { width: 210, height: 148 };
const PATCH_CODES = [243, 200, 160, 118, 75] as const;
const PATCH_LEFTS_MM = [67, 83, 99, 115, 131] as const;
const FIDUCIAL_CORNERS_MM = [
	[5, 5],
	[189, 5],
	[189, 127],
	[5, 127],
] as const;

/**
 * Sheets in landscape, and the first of the four consecutive mark ids each carries: ids differ between the sizes, so that a
 * photo itself tells which sheet, and with it which scale, it shows.
 */
const SHEETS: Readonly<Record<MatSize, { width: number; height: number; firstId: number }>> = {
	A5: { width: 210, height: 148, firstId: 0 },
	A4: { width: 297, height: 210, firstId: 4 },
	Letter: { width: 279.4, height: 215.9, firstId: 8 },
};

/**
 * The mat on one sheet size. Marks, patches and field are the A5 drawing enlarged by one factor and centred; on A5 it is
 * the drawing itself, 170 x 100 mm of field.
 *
 * The check line stays 100 mm on every size: it sits in the top margin between the upper two marks, more than a mark's
 * module away from them, from the field and from the sheet's edge.
 */
export function matGeometry(size: MatSize): MatGeometry {
	const sheet = SHEETS[size];
	const k = Math.min(sheet.width / BASE_SHEET.width, sheet.height / BASE_SHEET.height);
	const left = (sheet.width - k * BASE_SHEET.width) / 2;
	const top = (sheet.height - k * BASE_SHEET.height) / 2;
	const rect = (x: number, y: number, width: number, height: number): RectMm => ({
		x: left + k * x,
		y: top + k * y,
		width: k * width,
		height: k * height,
	});
	const lineY = top + k * 10;
	const middle = sheet.width / 2;
	return {
		size,
		sheetWidthMm: sheet.width,
		sheetHeightMm: sheet.height,
		fiducials: FIDUCIAL_CORNERS_MM.map(([x, y], i) => ({ id: sheet.firstId + i, ...rect(x, y, 16, 16) })),
		patches: PATCH_CODES.map((code, i) => ({ code, ...rect(PATCH_LEFTS_MM[i]!, 129, 12, 12) })),
		field: rect(20, 24, 170, 100),
		checkLine: {
			from: { x: middle - CHECK_LINE_MM / 2, y: lineY },
			to: { x: middle + CHECK_LINE_MM / 2, y: lineY },
		},
	};
}

/**
 * How much larger than drawn a printer made the mat.
 *
 * @param measuredLineMm - the check line as the user measured it
 * @returns true length over drawn length; multiply the mat's millimetres by it
 * @throws RangeError outside 50 to 200 mm: no printer is that far off, the number is a slip
 */
export function printedScale(measuredLineMm: number): number {
	if (!(measuredLineMm >= 50 && measuredLineMm <= 200)) {
		throw new RangeError(`measuredLineMm: 50 to 200 expected, got ${measuredLineMm}`);
	}
	return measuredLineMm / CHECK_LINE_MM;
}

/** What mats were printed at: one scale for whichever a photo shows, or one for each sheet size, 1 for a size that was not measured. */
export type PrintedScale = number | Readonly<Partial<Record<MatSize, number>>>;

/** The scale of one size of the mat. */
export function scaleOfSize(scale: PrintedScale, size: MatSize): number {
	return typeof scale === 'number' ? scale : (scale[size] ?? 1);
}

/**
 * Whether a printer made the mat about as large as it is drawn. Fitted to the page with margins of 5 mm, A4 comes out at 0.91 on
 * Letter paper, Letter at 0.93 on A4, A5 at 1.36 on A4: a line off by more than a tenth is on other paper, or a slip of the rule.
 *
 * @param measuredLineMm - the check line as the user measured it
 * @source paper sizes of ISO 216 and ANSI/ASME Y14.1; the margin is common practice, no source
 */
export function isUsualPrint(measuredLineMm: number): boolean {
	return Math.abs(measuredLineMm / CHECK_LINE_MM - 1) <= 0.1;
}

/** Corners of a rectangle, clockwise from its top-left. */
export function cornersOf({ x, y, width, height }: RectMm): [PointMm, PointMm, PointMm, PointMm] {
	return [
		{ x, y },
		{ x: x + width, y },
		{ x: x + width, y: y + height },
		{ x, y: y + height },
	];
}
