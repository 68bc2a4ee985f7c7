import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { applyHomography, areaPerPixelMm2 } from '@/lib/photo/homography';
import { cornersOf } from '@/lib/photo/matGeometry';
import { rimMm, surfaceFromCorners, withFieldSize, withoutRim } from '@/lib/photo/tray';

const PICTURE = { width: 2000, height: 1500 };
const CORNERS = [
	{ x: 300, y: 250 },
	{ x: 1700, y: 300 },
	{ x: 1650, y: 1250 },
	{ x: 350, y: 1200 },
];

test('four corners and a size make a surface: corners land on the field, areas add up', () => {
	const surface = surfaceFromCorners(CORNERS, 200, 140, PICTURE);
	expect(surface.kind).toBe('tray');
	const [, , far] = CORNERS.map((p) => applyHomography(surface.pxToMm, p.x, p.y));
	expect(far!.x).toBeCloseTo(200, 9);
	expect(far!.y).toBeCloseTo(140, 9);
	expect(surface.camera?.tiltDeg).toBeGreaterThan(0);
	let areaMm2 = 0;
	for (let y = 0; y < PICTURE.height; y += 5) {
		for (let x = 0; x < PICTURE.width; x += 5) {
			const mm = applyHomography(surface.pxToMm, x + 2.5, y + 2.5);
			if (mm.x >= 0 && mm.x < 200 && mm.y >= 0 && mm.y < 140)
				areaMm2 += 25 * areaPerPixelMm2(surface.pxToMm, x + 2.5, y + 2.5);
		}
	}
	// counted in cells of 5 x 5 px: the rim's cells are in or out as a whole
	expect(areaMm2 / (200 * 140)).toBeCloseTo(1, 2);
});

test('a tray ends a strip short of its walls, but not where it fills the picture and shows none', () => {
	const tray = surfaceFromCorners(CORNERS, 200, 140, PICTURE);
	const field = withoutRim(tray, PICTURE);
	const rim = rimMm(field);
	expect(rim).toBeCloseTo(2.8, 9);
	expect(field).toMatchObject({ kind: 'tray', fieldWidthMm: 200 - 2 * rim, fieldHeightMm: 140 - 2 * rim });
	const [near, , far] = field.cornersPx.map((p) => applyHomography(tray.pxToMm, p.x, p.y));
	expect(near!.x).toBeCloseTo(rim, 6);
	expect(far!.y).toBeCloseTo(140 - rim, 6);
	expect(field.camera!.xMm + rim).toBeCloseTo(tray.camera!.xMm, 6);
	const { width, height } = PICTURE;
	const whole = surfaceFromCorners(cornersOf({ x: 0, y: 0, width, height }), 200, 150, PICTURE);
	expect(withoutRim(whole, PICTURE)).toBe(whole);
	expect(withoutRim(whole, { width: width + 200, height }).fieldWidthMm).toBeLessThan(200);
});

test('the place of the camera follows from the picture of a flat field: above its middle, or off to one side', () => {
	// of the assumed focal length, 26 mm on 43.27 mm
	const f = (26 / 43.27) * Math.hypot(PICTURE.width, PICTURE.height);
	const seenFrom = (lens: readonly [number, number, number], tilt: number) => {
		const [s, c] = [Math.sin(tilt), Math.cos(tilt)];
		return [
			[0, 0],
			[200, 0],
			[200, 140],
			[0, 140],
		].map(([x, y]) => {
			const [dx, dy, dz] = [x! - lens[0], y! - lens[1], lens[2]];
			const depth = c * dz - s * dy;
			return { x: PICTURE.width / 2 + (f * dx) / depth, y: PICTURE.height / 2 + (f * (c * dy + s * dz)) / depth };
		});
	};
	for (const [lens, tilt] of [
		[[100, 70, 260], 0],
		[[90, 130, 240], 0.2],
	] as const) {
		const { camera } = surfaceFromCorners(seenFrom(lens, tilt), 200, 140, PICTURE);
		expect(camera?.xMm).toBeCloseTo(lens[0], 6);
		expect(camera?.yMm).toBeCloseTo(lens[1], 6);
		expect(camera?.heightMm).toBeCloseTo(lens[2], 6);
		expect(camera?.tiltDeg).toBeCloseTo((Math.abs(tilt) * 180) / Math.PI, 4);
		const twice = withFieldSize(surfaceFromCorners(seenFrom(lens, tilt), 200, 140, PICTURE), 400, 280).camera;
		expect(twice?.heightMm).toBeCloseTo(2 * lens[2], 6);
	}
});

test.each([
	['anticlockwise', [...CORNERS].reverse(), /anticlockwise/],
	['crossed', [CORNERS[0]!, CORNERS[2]!, CORNERS[1]!, CORNERS[3]!], /cross/],
	['on one line', [CORNERS[0]!, { x: 1000, y: 275 }, CORNERS[1]!, CORNERS[3]!], /one line/],
	['on one spot', [CORNERS[0]!, CORNERS[0]!, CORNERS[2]!, CORNERS[3]!], /one line|one spot/],
	['only three', CORNERS.slice(0, 3), /3 were given/],
	['far outside', CORNERS.map((p) => ({ x: p.x + 2500, y: p.y })), /outside the picture/],
	['a speck', CORNERS.map((p) => ({ x: 900 + p.x / 40, y: 700 + p.y / 40 })), /half a per cent/],
	['not numbers', CORNERS.map((p) => ({ x: Number.NaN, y: p.y })), /not a number/],
])('corners that are %s are refused with a sentence', (_name, corners, sentence) => {
	const attempt = () => surfaceFromCorners(corners, 200, 140, PICTURE);
	expect(attempt).toThrow(TrayError);
	expect(attempt).toThrow(sentence);
});

test('a tray of no size or the size of a room is refused', () => {
	expect(() => surfaceFromCorners(CORNERS, 0, 140)).toThrow(/cannot be right/);
	expect(() => surfaceFromCorners(CORNERS, 200, 20000)).toThrow(/cannot be right/);
	expect(() => surfaceFromCorners(CORNERS, Number.NaN, 140)).toThrow(/cannot be right/);
});

test('a picture twice as large shows the same millimetres', () => {
	fc.assert(
		fc.property(fc.double({ min: 1, max: 4, noNaN: true }), (k) => {
			const one = surfaceFromCorners(CORNERS, 200, 140);
			const other = surfaceFromCorners(
				CORNERS.map((p) => ({ x: k * p.x, y: k * p.y })),
				200,
				140,
			);
			const a = applyHomography(one.pxToMm, 900, 700);
			const b = applyHomography(other.pxToMm, 900 * k, 700 * k);
			expect(Math.hypot(a.x - b.x, a.y - b.y)).toBeLessThan(1e-9);
			expect(other.pxPerMm / one.pxPerMm).toBeCloseTo(k, 9);
		}),
	);
});
