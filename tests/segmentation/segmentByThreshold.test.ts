import fc from 'fast-check';
import { expect, test } from 'vitest';
import { cielabOf, linearOfCielab } from '@/lib/colour/cielab';
import { lightAt } from '@/lib/colour/falloff';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { ellipsoidOf, squaredDistance } from '@/lib/material/ellipsoid';
import { applyHomography } from '@/lib/photo/homography';
import { encodeSrgb } from '@/lib/photo/srgbCurve';
import { CLIPPED, cellsOf, OUTSIDE } from '@/lib/segmentation/cells';
import { fieldBoxOf } from '@/lib/segmentation/fieldBox';
import { segmentByThreshold } from '@/lib/segmentation/segmentByThreshold';
import { STEPS } from '@/lib/segmentation/stepTable';
import { surfacePatches } from '@/lib/segmentation/surfaceColour';
import { flatSurface, surfaceFrom } from '../particles/shapes';
import { BLUE_PLASTIC, COPPER, PAPER, PLAIN_LIGHT, photo, RED_PLASTIC, type Rgb } from './trays';

/** Light without soft shadows. */
const NO_SHADOWS = { leftMm: 0, topMm: 0, pitchMm: 40, columns: 2, rows: 2, log: [0, 0, 0, 0] };

const share = (labels: Uint8Array, code: number) => labels.filter((label) => label === code).length / labels.length;

/** Blocks of plastic and copper wires on a sheet. */
function spread(surface: Rgb) {
	return photo(240, 160, (x, y) => {
		if (Math.abs(((x + y) % 60) - 30) < 5 && x < 150) return COPPER;
		if (Math.hypot(x - 190, y - 50) < 18) return RED_PLASTIC;
		if (Math.hypot(x - 190, y - 110) < 18) return BLUE_PLASTIC;
		return surface;
	});
}

test('copper, red plastic and blue plastic on paper are told apart', () => {
	const raster = spread(PAPER);
	const map = segmentByThreshold(raster, { ...flatSurface(240, 160, 8), kind: 'mat' }, PLAIN_LIGHT, DEFAULT_MATERIAL);
	const at = (x: number, y: number) => map.labels[y * 240 + x];
	expect(at(190, 50)).toBe(CLASS_CODE.insulation);
	expect(at(190, 110)).toBe(CLASS_CODE.insulation);
	expect(at(15, 15)).toBe(CLASS_CODE.brightCopper);
	expect(at(225, 10)).toBe(0);
});

test('the surface is learnt from the photo: a blue tray and a grey one are bare', () => {
	for (const tray of [BLUE_PLASTIC, [0.2, 0.205, 0.21]] satisfies Rgb[]) {
		const raster = photo(240, 160, (x, y) => (Math.hypot(x - 120, y - 80) < 25 ? COPPER : tray));
		const map = segmentByThreshold(raster, flatSurface(240, 160, 8), PLAIN_LIGHT, DEFAULT_MATERIAL);
		expect(share(map.labels, 0)).toBeGreaterThan(0.93);
		expect(map.labels[80 * 240 + 120]).toBe(CLASS_CODE.brightCopper);
	}
});

test('a product without copper is not read as having some', () => {
	const raster = photo(240, 160, (x, y) => (Math.hypot((x % 48) - 24, (y % 40) - 20) < 12 ? RED_PLASTIC : PAPER), 0.02);
	const map = segmentByThreshold(raster, { ...flatSurface(240, 160, 8), kind: 'mat' }, PLAIN_LIGHT, DEFAULT_MATERIAL);
	expect(share(map.labels, CLASS_CODE.brightCopper)).toBeLessThan(0.003);
	expect(share(map.labels, CLASS_CODE.insulation)).toBeGreaterThan(0.2);
});

test('a blown-out glint inside a piece belongs to the piece and is never metal for being bright', () => {
	const raster = photo(200, 120, (x, y) => {
		if (Math.hypot(x - 100, y - 60) < 4) return [2, 2, 2];
		return Math.hypot(x - 100, y - 60) < 30 ? RED_PLASTIC : PAPER;
	});
	const map = segmentByThreshold(raster, { ...flatSurface(200, 120, 8), kind: 'mat' }, PLAIN_LIGHT, DEFAULT_MATERIAL);
	expect(map.labels[60 * 200 + 100]).toBe(CLASS_CODE.insulation);
});

test('a colour that fits nothing stays unjudged', () => {
	const near = { ...DEFAULT_MATERIAL, farthestDistance: 1.5 };
	const raster = photo(120, 80, (x) => (x < 30 ? [0.9, 0.02, 0.9] : PAPER));
	const map = segmentByThreshold(raster, { ...flatSurface(120, 80, 8), kind: 'mat' }, PLAIN_LIGHT, near);
	expect(map.labels[40 * 120 + 15]).toBe(UNJUDGED);
});

test('nothing outside the field is read', () => {
	const corners = [
		{ x: 60, y: 30 },
		{ x: 180, y: 40 },
		{ x: 175, y: 120 },
		{ x: 55, y: 125 },
	] as const;
	const surface = surfaceFrom(corners, 15, 10, 8);
	const map = segmentByThreshold(spread(PAPER), surface, PLAIN_LIGHT, DEFAULT_MATERIAL);
	for (let i = 0; i < map.labels.length; i++) {
		const place = applyHomography(
			surface.pxToMm,
			(i % map.width) + map.columnOffset + 0.5,
			Math.floor(i / map.width) + map.rowOffset + 0.5,
		);
		const within = place.x >= 0 && place.y >= 0 && place.x <= 15 && place.y <= 10;
		if (!within) expect(map.labels[i]).toBe(0);
	}
});

test('cells of the fast pass are those worked out pixel by pixel, light fall-off included', () => {
	const raster = spread(PAPER);
	const surface = flatSurface(240, 160, 8);
	const slope = [0, 0.2, 0.1, 0, 0, 0] as const;
	const light = {
		...PLAIN_LIGHT,
		falloff: { fieldWidthMm: 30, fieldHeightMm: 20, coefficients: [slope, slope, slope] as const, shadows: NO_SHADOWS },
	};
	const { cell } = cellsOf(raster, surface, light, fieldBoxOf(raster, surface));
	let same = 0;
	let farthest = 0;
	for (let i = 0; i < cell.length; i++) {
		const { x, y } = applyHomography(surface.pxToMm, (i % 240) + 0.5, Math.floor(i / 240) + 0.5);
		const there = lightAt(light.falloff, x, y);
		const steps = [0, 1, 2].map((c) => {
			const reflectance = PLAIN_LIGHT.tables[c as 0 | 1 | 2][raster.data[3 * i + c]!]! / there[c]!;
			return Math.min(STEPS - 1, Math.floor(STEPS * encodeSrgb(reflectance)));
		});
		const found = [cell[i]! >> 12, (cell[i]! >> 6) & 63, cell[i]! & 63];
		for (let c = 0; c < 3; c++) farthest = Math.max(farthest, Math.abs(found[c]! - steps[c]!));
		if (found.every((step, c) => step === steps[c])) same++;
	}
	// Light is stepped by 1.6 %, a step of the cube is some 4 %: no channel is off by more than one, most pixels by none.
	expect(farthest).toBeLessThanOrEqual(1);
	expect(same / cell.length).toBeGreaterThan(0.5);
});

test('counts of the cells are counts of the pixels', () => {
	const raster = photo(40, 30, (x) => (x < 4 ? [3, 3, 3] : PAPER));
	const corners = [
		{ x: 2, y: 3 },
		{ x: 38, y: 3 },
		{ x: 38, y: 28 },
		{ x: 2, y: 28 },
	] as const;
	const surface = surfaceFrom(corners, 36, 25, 1);
	const cells = cellsOf(raster, surface, PLAIN_LIGHT, fieldBoxOf(raster, surface));
	const judged = cells.cell.filter((k) => k !== OUTSIDE && k !== CLIPPED).length;
	expect(cells.count.reduce((sum, n) => sum + n, 0)).toBe(judged);
	expect(cells.clipped).toBe(2 * 25);
	expect(judged + cells.clipped).toBe(36 * 25);
});

test('the bare surface is its commonest colour; shadows keep its hue or turn to the blue of the sky', () => {
	const raster = photo(120, 80, (x) => (x < 40 ? BLUE_PLASTIC : [0.5, 0.4, 0.3]), 0);
	const surface = flatSurface(120, 80, 8);
	const patches = surfacePatches(cellsOf(raster, surface, PLAIN_LIGHT, fieldBoxOf(raster, surface)), 'tray');
	const { L, a, b } = cielabOf(0.5, 0.4, 0.3);
	const [open, ...shadows] = patches;
	expect(Math.hypot(open!.centre.L - L, open!.centre.a - a, open!.centre.b - b)).toBeLessThan(2);
	for (const shadow of shadows) {
		expect(shadow.centre.L).toBeLessThan(open!.centre.L);
		const [red, , blue] = linearOfCielab(shadow.centre);
		const tint = blue / red / (0.3 / 0.5);
		expect(tint).toBeGreaterThan(0.97);
		expect(tint).toBeLessThan(1.7);
	}
});

test('a squared distance from an ellipsoid is that of its inverse covariance', () => {
	fc.assert(
		fc.property(fc.array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: 6, maxLength: 6 }), (m) => {
			// Covariance as A A' + 1, so that it is positive definite; then x = A u + v has a known distance only if A is diagonal.
			const [p, q, r] = [m[0]! ** 2 + 1, m[1]! ** 2 + 1, m[2]! ** 2 + 1];
			const e = ellipsoidOf({ name: 'test', centre: { L: 50, a: 0, b: 0 }, covariance: [p, 0, 0, q, 0, r] });
			const expected = m[3]! ** 2 / p + m[4]! ** 2 / q + m[5]! ** 2 / r;
			expect(squaredDistance(e, 50 + m[3]!, m[4]!, m[5]!)).toBeCloseTo(expected, 9);
			expect(e.logDet).toBeCloseTo(Math.log(p * q * r), 9);
		}),
	);
	// By hand: covariance [[2,1,0],[1,2,0],[0,0,1]] has inverse [[2,-1,0],[-1,2,0],[0,0,3]]/3; (1,1,1) is at 2/3 + 1.
	const e = ellipsoidOf({ name: 'hand', centre: { L: 0, a: 0, b: 0 }, covariance: [2, 1, 0, 2, 0, 1] });
	expect(squaredDistance(e, 1, 1, 1)).toBeCloseTo(5 / 3, 12);
});

test('a colour without extent is refused by name', () => {
	expect(() => ellipsoidOf({ name: 'flat', centre: { L: 0, a: 0, b: 0 }, covariance: [1, 0, 0, 1, 0, 0] })).toThrow(
		"colour 'flat'",
	);
});
