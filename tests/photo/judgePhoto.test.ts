import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { expect, test } from 'vitest';
import { findMat } from '@/lib/photo/findMat';
import { judgePhoto, measurePhoto, refuseCoarse } from '@/lib/photo/judgePhoto';
import type { Raster } from '@/lib/photo/raster';
import { surfaceFromCorners } from '@/lib/photo/tray';
import optics from '../reference/optics.json';
import { drawMat, type MatShot } from './drawMat';

/** Blobs of copper and dark insulation, a few millimetres across. */
const blobs = (x: number, y: number) => {
	const [dx, dy] = [(x % 8) - 4, (y % 8) - 4];
	if (dx * dx + dy * dy > 6) return undefined;
	return (Math.floor(x / 8) + Math.floor(y / 8)) % 2 ? COPPER : BLACK;
};
const COPPER = [0.5, 0.25, 0.15] as const;
const BLACK = [0.02, 0.02, 0.02] as const;

function codesOf(shot: MatShot, finestStrandMm = 0.2, seen = (raster: Raster) => raster): string[] {
	const raster = seen(drawMat({ spread: blobs, ...shot }).raster);
	const mat = findMat(raster);
	if (!mat.found) throw new Error(mat.reason);
	return judgePhoto({ raster, surface: mat.surface, mat, finestStrandMm }).map((w) => w.code);
}

test('a good photo is not warned about', () => {
	expect(codesOf({ noise: 0.01 })).toEqual([]);
});

test('a blurred photo is told', () => {
	expect(codesOf({ blurPx: 2.2 })).toEqual(['blurred']);
});

test.each([
	['along rows', 1, 0],
	['along columns', 0, 1],
	['aslant', 1, -1],
	['between', 2, 1],
])('a photo that the hand moved %s is told, though edges along the way stay sharp', (_, x, y) => {
	const stepPx = Math.hypot(x, y);
	const over = (lengthPx: number) =>
		codesOf({}, 0.2, (raster) => moved(raster, x, y, Math.round(lengthPx / stepPx))).filter(
			(c) => c !== 'mat-not-flat',
		);
	expect(over(9)).toEqual(['blurred']);
	expect(over(2.3)).toEqual([]);
});

/** Means of pixels in a line. */
function moved(raster: Raster, x: number, y: number, pixels: number): Raster {
	const data = Uint8Array.from(raster.data, (_, at) => {
		let sum = 0;
		for (let k = 0; k < pixels; k++) sum += raster.data[at + 3 * k * (x + y * raster.width)] ?? 0;
		return Math.round(sum / pixels);
	});
	return { ...raster, data };
}

test('specks of colour are told, fine grain is not', () => {
	const random = xoroshiro128plus(11);
	const specks = (codes: number) => (raster: Raster) => {
		const across = Math.ceil(raster.width / 2);
		const cells = Float64Array.from({ length: 3 * across * raster.height }, () => (random.next() / 2 ** 31) * codes);
		const cellOf = (at: number) => {
			const [pixel, channel] = [Math.floor(at / 3), at % 3];
			const [x, y] = [pixel % raster.width, Math.floor(pixel / raster.width)];
			return cells[3 * (Math.floor(y / 2) * across + Math.floor(x / 2)) + channel]!;
		};
		const data = Uint8ClampedArray.from(raster.data, (code, at) => Math.round(0.8 * code + cellOf(at)));
		return { ...raster, data: Uint8Array.from(data) };
	};
	expect(codesOf({}, 0.2, specks(30))).toEqual(['grainy']);
	expect(codesOf({}, 0.2, specks(5))).toEqual([]);
});

test('a photo too dark and one burnt out are told', () => {
	expect(codesOf({ light: () => [0.12, 0.12, 0.12] })).toEqual(['too-dark']);
	expect(codesOf({ light: () => [1.6, 1.6, 1.6] })).toEqual(['too-bright']);
});

test('a lamp mirrored in the field is told', () => {
	const lamp = (x: number, y: number) => {
		const v = (x - 100) ** 2 + (y - 70) ** 2 < 64 ? 40 : 0.7;
		return [v, v, v] as const;
	};
	expect(codesOf({ light: lamp })).toEqual(['glare']);
});

test('pixels are weighed against the finest strand', () => {
	expect(codesOf({}, 0.1)).toEqual(['too-few-pixels']);
	// a phone of 12 megapixels that fills its frame with the mat sees a 0.1 mm strand with almost two pixels
	const scale = optics.find((e) => e.id === 'l.pixels_per_mm')!.expected as { '12MP': { A5: number } };
	expect(0.1 * scale['12MP'].A5).toBeCloseTo(1.92, 6);
});

test('a steep view is told', () => {
	const sheetPx = [
		{ x: 260, y: 120 },
		{ x: 640, y: 120 },
		{ x: 850, y: 560 },
		{ x: 50, y: 560 },
	] as const;
	expect(codesOf({ sheetPx })).toContain('tilted');
});

test('a field that runs out of the picture is told, with how much', () => {
	const { raster } = drawMat({ spread: blobs });
	const surface = surfaceFromCorners(
		[
			{ x: -100, y: 100 },
			{ x: 700, y: 100 },
			{ x: 700, y: 500 },
			{ x: -100, y: 500 },
		],
		200,
		100,
	);
	expect(measurePhoto(raster, surface).insideShare).toBeCloseTo(7 / 8, 2);
	const [warning] = judgePhoto({ raster, surface, finestStrandMm: 0.2 });
	expect(warning).toMatchObject({ code: 'field-cut' });
	expect(warning?.message).toMatch(/^1[23] % of the field/);
});

test('greys that stay off after correction are told', () => {
	const { raster } = drawMat({ spread: blobs });
	const mat = findMat(raster);
	if (!mat.found) throw new Error(mat.reason);
	const codes = judgePhoto({ raster, surface: mat.surface, mat, finestStrandMm: 0.2, colourResidual: 8 }).map(
		(w) => w.code,
	);
	expect(codes).toEqual(['colour-residual']);
});

test('a picture in which even common strands are under half a pixel wide is refused, a finer one is not', () => {
	// 0.3 mm at 1.7 pixels per millimetre is 0.51 of a pixel
	expect(() => refuseCoarse({ pxPerMm: 1.7 })).not.toThrow();
	expect(() => refuseCoarse({ pxPerMm: 1.6 })).toThrow(
		expect.objectContaining({
			code: 'photo-unreadable',
			message: expect.stringMatching(/^The picture has only 1\.6 pixels/),
		}),
	);
});

test('a tray whose width and height were swapped is told, one seen by a longer lens at the steepest tilt is not', () => {
	const picture = { width: 800, height: 600 };
	const diagonal = 1000;
	const judge = (focalPx: number, tiltDeg: number, widthMm: number, heightMm: number) => {
		const [c, s] = [Math.cos((tiltDeg * Math.PI) / 180), Math.sin((tiltDeg * Math.PI) / 180)];
		// a floor of 200 by 140 mm, turned about the picture's level axis, its middle as far off as it fills half the picture's width
		const far = (focalPx * 200) / 400;
		const corners = [
			[-100, -70],
			[100, -70],
			[100, 70],
			[-100, 70],
		].map(([x = 0, y = 0]) => ({
			x: 400 + (focalPx * x) / (far + y * s),
			y: 300 + (focalPx * y * c) / (far + y * s),
		}));
		const data = new Uint8Array(3 * picture.width * picture.height).fill(180);
		const raster = { ...picture, channels: 3, colourSpace: 'srgb', data } as const;
		const surface = surfaceFromCorners(corners, widthMm, heightMm, picture);
		const codes = judgePhoto({ raster, surface, finestStrandMm: 1 }).map(({ code }) => code);
		return codes.filter((code) => code === 'size-unlike');
	};
	const assumed = (diagonal * 26) / 43.27;
	expect(judge(assumed, 0, 200, 140)).toEqual([]);
	expect(judge(2 * assumed, 25, 200, 140)).toEqual([]);
	expect(judge(assumed, 0, 140, 200)).toEqual(['size-unlike']);
	expect(judge(assumed, 20, 140, 200)).toEqual(['size-unlike']);
	expect(judge(assumed, 0, 200, 100)).toEqual(['size-unlike']);
});
