import fc from 'fast-check';
import { expect, test } from 'vitest';
import { applyHomography, areaPerPixelMm2, homographyOf, invertHomography } from '@/lib/photo/homography';
import type { Matrix3 } from '@/lib/photo/surface';
import entries from '../reference/image.json';

type Pair = [number, number];
const point = ([x, y]: Pair) => ({ x, y });
const published = entries.find((e) => e.id === 'k.homography')!;
const inputs = published.inputs as unknown as { src: Pair[]; dst: Pair[]; points: Pair[] };
const expected = published.expected as unknown as { H: number[][]; mapped: Pair[] };

test('four corners of a sheet give the published map and points', () => {
	const map = homographyOf(inputs.src.map(point), inputs.dst.map(point));
	for (const [i, value] of expected.H.flat().entries()) expect(Math.abs(map[i]! - value)).toBeLessThan(1e-8);
	for (const [i, [x, y]] of inputs.points.entries()) {
		const at = applyHomography(map, x, y);
		expect(Math.abs(at.x - expected.mapped[i]![0])).toBeLessThan(1e-4);
		expect(Math.abs(at.y - expected.mapped[i]![1])).toBeLessThan(1e-4);
	}
});

test('a pixel covers the published area, and the area of its four corners', () => {
	const map = homographyOf(inputs.src.map(point), inputs.dst.map(point));
	const area = entries.find((e) => e.id === 'k.homography.area_scale')!;
	const { mm2_per_px } = area.expected as unknown as { mm2_per_px: number[] };
	for (const [i, [x, y]] of inputs.points.entries()) {
		const here = areaPerPixelMm2(map, x, y);
		expect(Math.abs(here - mm2_per_px[i]!)).toBeLessThan(1e-9);
		const side = 0.01;
		const [a, b, c] = [point([x, y]), point([x + side, y]), point([x, y + side])].map((p) =>
			applyHomography(map, p.x, p.y),
		);
		const cross = (b!.x - a!.x) * (c!.y - a!.y) - (b!.y - a!.y) * (c!.x - a!.x);
		// a side of a hundredth of a pixel: the area changes by less than a millionth across it
		expect(cross / side ** 2 / here).toBeCloseTo(1, 5);
	}
});

const corner = (x: number, y: number) =>
	fc.tuple(
		fc.double({ min: x - 0.2, max: x + 0.2, noNaN: true }),
		fc.double({ min: y - 0.2, max: y + 0.2, noNaN: true }),
	);
const quad = fc.tuple(corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1));

test('a map and its inverse cancel, whatever four corners it came from', () => {
	fc.assert(
		fc.property(
			quad,
			fc.double({ min: 0, max: 1, noNaN: true }),
			fc.double({ min: 0, max: 1, noNaN: true }),
			(corners, u, v) => {
				const square = [point([0, 0]), point([1, 0]), point([1, 1]), point([0, 1])];
				const map = homographyOf(square, corners.map(point));
				const there = applyHomography(map, u, v);
				const back = applyHomography(invertHomography(map), there.x, there.y);
				expect(Math.abs(back.x - u)).toBeLessThan(1e-9);
				expect(Math.abs(back.y - v)).toBeLessThan(1e-9);
			},
		),
	);
});

test('more than four points average their reading errors', () => {
	const truth: Matrix3 = [5, 0.2, 300, -0.3, 4.8, 200, 1e-4, 2e-4, 1];
	const places = Array.from({ length: 16 }, (_, i) => point([(i % 4) * 60, Math.floor(i / 4) * 40]));
	const seen = places.map((p, i) => {
		const q = applyHomography(truth, p.x, p.y);
		return { x: q.x + (i % 2 ? 0.3 : -0.3), y: q.y + (i % 3 ? 0.15 : -0.3) };
	});
	const fitted = homographyOf(places, seen);
	const miss = places.map((p) => {
		const a = applyHomography(truth, p.x, p.y);
		const b = applyHomography(fitted, p.x, p.y);
		return Math.hypot(a.x - b.x, a.y - b.y);
	});
	// each point is 0.34 to 0.42 px off; sixteen points and eight numbers leave about seven tenths of it
	expect(Math.sqrt(miss.reduce((s, m) => s + m * m, 0) / 16)).toBeLessThan(0.3);
});

test('points that cannot fix a plane are refused', () => {
	const line = [point([0, 0]), point([1, 1]), point([2, 2]), point([3, 3])];
	const square = [point([0, 0]), point([1, 0]), point([1, 1]), point([0, 1])];
	expect(() => homographyOf(line, square)).toThrow(RangeError);
	expect(() => homographyOf(square.slice(1), square.slice(1))).toThrow(RangeError);
	expect(() => homographyOf(square, line)).toThrow(RangeError);
});
