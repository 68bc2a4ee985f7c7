import { expect, test } from 'vitest';
import { applyHomography, homographyOf } from '@/lib/photo/homography';
import { cornersOf } from '@/lib/photo/matGeometry';
import type { Raster } from '@/lib/photo/raster';
import { decodeSrgb } from '@/lib/photo/srgbCurve';
import { surfaceOf } from '@/lib/photo/tray';
import { fieldCopy } from '@/lib/segmentation/fieldCopy';
import { codesOfLight, lightOfCode } from '@/lib/segmentation/halveKernel';
import { broadened, broadenedSlowly, mapOnPhoto } from '@/lib/segmentation/mapOnPhoto';

const SIZE = { width: 203, height: 161 };

function raster(code: (x: number, y: number, c: number) => number): Raster {
	const { width, height } = SIZE;
	const data = Uint8Array.from({ length: 3 * width * height }, (_, i) =>
		code(Math.floor(i / 3) % width, Math.floor(i / 3 / width), i % 3),
	);
	return { ...SIZE, channels: 3, colourSpace: 'srgb', data };
}

/** A field that fills most of the picture, at some pixels a millimetre. */
function field(pxPerMm: number) {
	const corners = [
		{ x: 7, y: 5 },
		{ x: 195, y: 9 },
		{ x: 199, y: 155 },
		{ x: 11, y: 151 },
	];
	const size = { width: 188 / pxPerMm, height: 146 / pxPerMm };
	return surfaceOf('tray', homographyOf(cornersOf({ x: 0, y: 0, ...size }), corners), size.width, size.height);
}

test('a coarse photo is read as it is', () => {
	const photo = raster(() => 100);
	expect(fieldCopy(photo, field(7.5))).toMatchObject({ reducedBy: 1, left: 0, top: 0, raster: photo });
});

test.each([
	[2, 15],
	[4, 29],
])('of a finer photo means of squares are read, %i pixels a side', (side, pxPerMm) => {
	const copy = fieldCopy(
		raster((x, y, c) => (c === 1 ? 37 : x % 2 === y % 2 ? 250 : 20)),
		field(pxPerMm),
	);
	expect(copy.reducedBy).toBe(side);
	const mean = (decodeSrgb(250 / 255) + decodeSrgb(20 / 255)) / 2;
	for (const at of [0, 3 * 17, copy.raster.data.length - 3]) {
		const [red, green, blue] = copy.raster.data.subarray(at, at + 3);
		// the means are of light, not of codes, within twice the cubic's distance from the curve; what is even keeps its code
		expect(Math.abs(decodeSrgb(red! / 255) - mean)).toBeLessThan(0.004);
		expect(blue).toBe(red);
		expect(green).toBe(37);
	}
});

test('every code of an even patch is kept', () => {
	const codes = codesOfLight();
	for (let code = 0; code < 256; code++) expect(codes[lightOfCode(code) >> 1]).toBe(code);
});

test('the copy stands on the photo where it says', () => {
	const photo = raster((x, y) => (x + y) % 200);
	const surface = field(15);
	const copy = fieldCopy(photo, surface);
	const there = applyHomography(surface.mmToPx, 3, 4);
	const here = applyHomography(copy.surface.mmToPx, 3, 4);
	expect(2 * here.x + copy.left).toBeCloseTo(there.x, 9);
	expect(2 * here.y + copy.top).toBeCloseTo(there.y, 9);
	const back = applyHomography(copy.surface.pxToMm, here.x, here.y);
	expect([back.x, back.y]).toEqual([expect.closeTo(3, 9), expect.closeTo(4, 9)]);
	expect(copy.surface.pxPerMm).toBeCloseTo(surface.pxPerMm / 2, 9);
});

test('labels of a copy lie on the photo on the pixels they were read from', () => {
	const surface = field(15);
	const photo = raster(() => 9);
	const { reducedBy, left, top, raster: small } = fieldCopy(photo, surface);
	const labels = new Uint8Array(small.width * small.height);
	const [column, row] = [31, 17];
	labels[row * small.width + column] = 4;
	const map = mapOnPhoto(
		{ width: small.width, height: small.height, columnOffset: 0, rowOffset: 0, labels },
		{ reducedBy, left, top },
		photo,
		surface,
	);
	const found = Array.from(map.labels.entries()).filter(([, label]) => label === 4);
	const places = found.map(([i]) => [(i % map.width) + map.columnOffset, Math.floor(i / map.width) + map.rowOffset]);
	const [x, y] = [left + 2 * column, top + 2 * row];
	expect(places).toEqual([
		[x, y],
		[x + 1, y],
		[x, y + 1],
		[x + 1, y + 1],
	]);
});

test('the kernel repeats labels as often as going label by label', () => {
	const labels = Uint8Array.from({ length: 1003 }, (_, i) => (i * 37) % 256);
	for (const times of [1, 2, 4]) expect(broadened(labels, times)).toEqual(broadenedSlowly(labels, times));
});
