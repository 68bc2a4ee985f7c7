import { expect, test } from 'vitest';
import type { TrayError } from '@/lib/errors/TrayError';
import { findMarkers } from '@/lib/photo/findMarkers';
import { findMat, type MatFound } from '@/lib/photo/findMat';
import { applyHomography } from '@/lib/photo/homography';
import { judgeShot } from '@/lib/photo/judgeShot';
import { locateSurface } from '@/lib/photo/locateSurface';
import {
	cornersOf,
	MAT_SIZES,
	type MatSize,
	matGeometry,
	type PrintedScale,
	printedScale,
} from '@/lib/photo/matGeometry';
import type { PointPx, Raster } from '@/lib/photo/raster';
import { withFieldSize } from '@/lib/photo/tray';
import { drawMat, type MatPhoto, type MatShot } from './drawMat';

function found(raster: Raster): MatFound {
	const mat = findMat(raster);
	if (!mat.found) throw new Error(mat.reason);
	return mat;
}

/** Largest distance of the sixteen found corners from where they were drawn, pixels. */
function worstCorner({ raster, sheetToPx }: MatPhoto, size: MatSize = 'A5'): number {
	const { markers } = found(raster);
	return Math.max(
		...matGeometry(size).fiducials.flatMap((f) =>
			cornersOf(f).map((p, i) => {
				const truth = applyHomography(sheetToPx, p.x, p.y);
				const seen = markers.find((m) => m.id === f.id)!.outlinePx[i]!;
				return Math.hypot(seen.x - truth.x, seen.y - truth.y);
			}),
		),
	);
}

const TILTED: MatShot['sheetPx'] = [
	{ x: 150.7, y: 60.2 },
	{ x: 790.4, y: 95.9 },
	{ x: 868.1, y: 590.3 },
	{ x: 28.6, y: 545.8 },
];

const PLAIN = drawMat();
const LEANING = drawMat({ sheetPx: TILTED });

test('the marks are found to a tenth of a pixel, sharp, soft, tilted and in uneven light', () => {
	// a step as steep as a pixel is wide is read between two pixels by straight interpolation, hence not better
	expect(worstCorner(PLAIN)).toBeLessThan(0.1);
	expect(worstCorner(drawMat({ blurPx: 1.6 }))).toBeLessThan(0.05);
	const uneven = drawMat({ sheetPx: TILTED, light: (x) => [0.5 + x / 600, 0.5 + x / 600, 0.4 + x / 700], noise: 0.01 });
	expect(worstCorner(uneven)).toBeLessThan(0.1);
});

test('millimetres, field and tilt follow from the marks', () => {
	const { raster, sheetToPx } = LEANING;
	const { surface, size, residualPx } = found(raster);
	expect([size, surface.kind, surface.fieldWidthMm, surface.fieldHeightMm]).toEqual(['A5', 'mat', 170, 100]);
	expect(residualPx).toBeLessThan(0.1);
	const { field } = matGeometry('A5');
	for (const [i, corner] of cornersOf(field).entries()) {
		const truth = applyHomography(sheetToPx, corner.x, corner.y);
		expect(Math.hypot(surface.cornersPx[i]!.x - truth.x, surface.cornersPx[i]!.y - truth.y)).toBeLessThan(0.1);
	}
	const straight = found(PLAIN.raster).surface;
	expect(straight.camera?.tiltDeg).toBeLessThan(4);
	expect(surface.camera?.tiltDeg).toBeGreaterThan(10);
});

test.each(MAT_SIZES)('a photo of the %s sheet tells its size, and its field', (size) => {
	const geometry = matGeometry(size);
	const k = 800 / geometry.sheetWidthMm;
	const corners = cornersOf({ x: 0, y: 0, width: geometry.sheetWidthMm, height: geometry.sheetHeightMm });
	const [a, b, c, d] = corners.map((p) => ({ x: 50 + k * p.x, y: 20 + k * p.y })) as [
		PointPx,
		PointPx,
		PointPx,
		PointPx,
	];
	const mat = found(drawMat({ size, sheetPx: [a, b, c, d], height: 680 }).raster);
	expect(mat.size).toBe(size);
	expect(mat.surface.fieldWidthMm).toBeCloseTo(geometry.field.width, 9);
	expect(mat.surface.pxPerMm).toBeCloseTo(k, 3);
});

test('every sheet keeps marks, patches, field and check line apart and on the paper', () => {
	for (const size of MAT_SIZES) {
		const { fiducials, patches, field, checkLine, sheetWidthMm, sheetHeightMm } = matGeometry(size);
		const line = { x: checkLine.from.x, y: checkLine.from.y - 2, width: checkLine.to.x - checkLine.from.x, height: 4 };
		expect(line.width).toBeCloseTo(100, 9);
		const parts = [...fiducials, ...patches, field, line];
		for (const [i, p] of parts.entries()) {
			expect(Math.min(p.x, p.y, sheetWidthMm - p.x - p.width, sheetHeightMm - p.y - p.height)).toBeGreaterThan(4);
			for (const q of parts.slice(i + 1)) {
				const apart = p.x + p.width <= q.x || q.x + q.width <= p.x || p.y + p.height <= q.y || q.y + q.height <= p.y;
				expect(apart).toBe(true);
			}
		}
	}
});

test('turning the photo by a quarter turns nothing on the mat', () => {
	const { raster } = LEANING;
	const upright = found(raster).surface;
	const turned = found(quarterTurn(raster)).surface;
	for (const [x, y] of [
		[300.5, 250.5],
		[650.5, 410.5],
	] as const) {
		const before = applyHomography(upright.pxToMm, x, y);
		const after = applyHomography(turned.pxToMm, raster.height - y, x);
		// the same edges, read along rows instead of columns
		expect(Math.hypot(before.x - after.x, before.y - after.y)).toBeLessThan(0.01);
	}
	expect(turned.pxPerMm).toBeCloseTo(upright.pxPerMm, 3);
});

test('with one mark covered the photo has no mat, and the sentence says so', () => {
	const mat = findMat(drawMat({ missing: [2] }).raster);
	expect(mat).toMatchObject({ found: false, markersSeen: [0, 1, 3] });
	expect(mat.found ? '' : mat.reason).toMatch(/^Only three of the mat's four corner marks are in the picture/);
});

test('a photo without any mark has no mat', () => {
	const bare = {
		width: 400,
		height: 300,
		channels: 3,
		colourSpace: 'srgb',
		data: new Uint8Array(360000).fill(200),
	} as const;
	expect(findMat(bare)).toMatchObject({ found: false, markersSeen: [] });
});

test('the same marks in other places are another sheet, not the mat', () => {
	const mat = findMat(drawMat({ order: [0, 1, 3, 2] }).raster);
	expect(mat).toMatchObject({ found: false, markersSeen: [0, 1, 2, 3] });
	expect(mat.found ? '' : mat.reason).toMatch(/not in the places they have on the mat/);
});

test('of two mats in one picture none is read, and the sentence says why; a corner of another mat does no harm', () => {
	const first = drawMat();
	const two = findMat(beside(first.raster, drawMat().raster));
	expect(two).toMatchObject({ found: false, markersSeen: [0, 1, 2, 3] });
	expect(two.found ? '' : two.reason).toMatch(/^Two mats are in the picture/);
	const mat = found(beside(drawMat({ missing: [1, 2] }).raster, first.raster));
	const alone = found(first.raster).surface.cornersPx;
	for (const [i, { x, y }] of mat.surface.cornersPx.entries()) {
		expect(x - first.raster.width).toBeCloseTo(alone[i]!.x, 1);
		expect(y).toBeCloseTo(alone[i]!.y, 1);
	}
	const half = findMat(beside(drawMat({ missing: [1, 2] }).raster, drawMat({ missing: [0, 3] }).raster));
	expect(half.found ? '' : half.reason).toMatch(/not in the places they have on the mat/);
});

test('a mirrored mat is not read, and the sentence says that it is mirrored', () => {
	const turned = mirrored(PLAIN.raster);
	expect(findMarkers(turned)).toEqual([]);
	expect(() => locateSurface(turned, { surface: 'auto' })).toThrow('The spread mat was not found');
	const told = judgeShot(turned, 1, 0.1);
	expect(told.noMat).toMatch(/turned round as in a mirror/);
	expect(hintOf(() => locateSurface(turned, { surface: 'auto' }))).toBe(told.noMat);
});

test('a photo of which nothing is known is not called mirrored', () => {
	const covered = drawMat({ missing: [0, 1, 2, 3] }).raster;
	expect(hintOf(() => locateSurface(covered, { surface: 'auto' }))).toMatch(/^None of the mat's four corner marks/);
});

function mirrored(raster: Raster): Raster {
	const turned = { ...raster, data: new Uint8Array(raster.data.length) };
	for (let i = 0; i < raster.width * raster.height; i++) {
		const from = Math.floor(i / raster.width) * raster.width + (raster.width - 1 - (i % raster.width));
		turned.data.set(raster.data.subarray(3 * from, 3 * from + 3), 3 * i);
	}
	return turned;
}

function hintOf(work: () => unknown): string {
	try {
		work();
	} catch (error) {
		return (error as TrayError).hint ?? '';
	}
	return '';
}

test('blur is told by the width of the marks edges', () => {
	// a Gaussian blur of standard deviation s has a 10 to 90 % width of 2.56 s; the pixel's own width adds a little
	expect(found(PLAIN.raster).edgeWidthPx).toBeCloseTo(2.1, 0);
	expect(found(drawMat({ blurPx: 2 }).raster).edgeWidthPx).toBeCloseTo(5.2, 0);
});

test('a printer that drew the check line at 97 mm shrinks the field to 97 %', () => {
	const { surface } = found(PLAIN.raster);
	const scale = printedScale(97);
	const real = withFieldSize(surface, surface.fieldWidthMm * scale, surface.fieldHeightMm * scale);
	expect(real.pxPerMm).toBeCloseTo(surface.pxPerMm / 0.97, 9);
	const corner = applyHomography(real.pxToMm, surface.cornersPx[2].x, surface.cornersPx[2].y);
	expect(corner.x).toBeCloseTo(164.9, 6);
	expect(corner.y).toBeCloseTo(97, 6);
	expect(() => printedScale(9.7)).toThrow(RangeError);
});

test('a photo takes the printed scale of the size of mat that it shows, and the drawn one where that size was not measured', () => {
	const widthOf = (size: MatSize, printed: PrintedScale | undefined) =>
		locateSurface(drawMat({ size }).raster, { surface: 'mat', printedScale: printed }).surface.fieldWidthMm;
	for (const size of ['A5', 'A4'] as const) {
		const drawnMm = matGeometry(size).field.width;
		expect(widthOf(size, { [size]: 0.97 })).toBeCloseTo(0.97 * drawnMm, 9);
		expect(widthOf(size, { Letter: 0.97 })).toBeCloseTo(drawnMm, 9);
		// one number is of the mat that is shown
		expect(widthOf(size, 0.97)).toBeCloseTo(0.97 * drawnMm, 9);
	}
});

/** The picture turned by a quarter to the right. */
function quarterTurn({ width, height, data, ...rest }: Raster): Raster {
	const out = new Uint8Array(data.length);
	for (let row = 0; row < height; row++) {
		for (let column = 0; column < width; column++) {
			const to = column * height + (height - 1 - row);
			out.set(data.subarray(3 * (row * width + column), 3 * (row * width + column) + 3), 3 * to);
		}
	}
	return { ...rest, width: height, height: width, data: out };
}

/** Two pictures of one size side by side. */
function beside(left: Raster, right: Raster): Raster {
	const data = new Uint8Array(left.data.length + right.data.length);
	const row = 3 * left.width;
	for (let y = 0; y < left.height; y++) {
		data.set(left.data.subarray(y * row, (y + 1) * row), 2 * y * row);
		data.set(right.data.subarray(y * row, (y + 1) * row), (2 * y + 1) * row);
	}
	return { ...left, width: 2 * left.width, data };
}
