import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CLASS_CODE } from '@/lib/material/classes';
import { fieldGeometry } from '@/lib/particles/fieldGeometry';
import { measurePieces } from '@/lib/particles/measure';
import { applyHomography, areaPerPixelMm2 } from '@/lib/photo/homography';
import { Drawing, flatSurface, surfaceFrom, turned } from './shapes';

const TILTED = surfaceFrom(
	[
		{ x: 12, y: 9 },
		{ x: 190, y: 22 },
		{ x: 181, y: 128 },
		{ x: 20, y: 140 },
	],
	34,
	22,
	5,
);

test('a lying wire of 1 mm by 12 mm is measured as such at 8 pixels a millimetre', () => {
	const { pieces } = measurePieces(
		new Drawing(160, 80).bar(CLASS_CODE.brightCopper, 80.2, 40.4, 96, 8, 27).map(),
		flatSurface(160, 80, 8),
	);
	expect(pieces).toHaveLength(1);
	const [wire] = pieces;
	expect(wire!.class).toBe('brightCopper');
	expect(wire!.areaMm2).toBeCloseTo(12, 0);
	expect(Math.abs(wire!.meanWidthMm - 1)).toBeLessThan(0.05);
	expect(Math.abs(wire!.lengthMm - 12)).toBeLessThan(0.6);
	expect(wire!.touchesEdge).toBe(false);
});

test('loops over rows find the same places and areas as the homography itself', () => {
	const geometry = fieldGeometry(TILTED);
	for (const row of [0, 30, 77, 139]) {
		const line = geometry.line(row);
		for (const column of [0, 40, 111, 195]) {
			const { x, y } = applyHomography(TILTED.pxToMm, column + 0.5, row + 0.5);
			const within = x >= 0 && y >= 0 && x <= 34 && y <= 22;
			expect(line.xMm(column)).toBeCloseTo(x, 9);
			expect(line.yMm(column)).toBeCloseTo(y, 9);
			expect(line.areaMm2(column)).toBeCloseTo(
				within ? areaPerPixelMm2(TILTED.pxToMm, column + 0.5, row + 0.5) : 0,
				12,
			);
		}
	}
});

test('the areas of the pixels of a tilted field add up to the field', () => {
	const map = new Drawing(200, 150).paint(4, () => true).map();
	const { pieces } = measurePieces(map, TILTED);
	// A pixel counts whole or not at all, so the outline is right to a pixel's fraction: 0.5 %.
	expect(Math.abs(pieces[0]!.areaMm2 / (34 * 22) - 1)).toBeLessThan(0.005);
});

test('the same disc measures the same near and far on a tilted photo', () => {
	const disc = (xMm: number) => {
		const map = new Drawing(200, 150)
			.paint(1, (x, y) => {
				const at = applyHomography(TILTED.pxToMm, x, y);
				return Math.hypot(at.x - xMm, at.y - 11) <= 3.5;
			})
			.map();
		return measurePieces(map, TILTED).pieces[0]!;
	};
	for (const xMm of [5, 17, 29]) {
		expect(Math.abs(disc(xMm).areaMm2 / (Math.PI * 3.5 ** 2) - 1)).toBeLessThan(0.02);
		expect(Math.abs(disc(xMm).meanWidthMm / 7 - 1)).toBeLessThan(0.12); // the widths take the mean of two scales that differ by a tenth here
	}
});

test('a piece over the edge of the field says so', () => {
	const { pieces } = measurePieces(
		new Drawing(80, 60).disc(4, 0, 30, 20).disc(4, 50, 30, 20).map(),
		flatSurface(80, 60, 4),
	);
	expect(pieces.map((piece) => piece.touchesEdge)).toEqual([true, false]);
});

test('unjudged pixels belong to no piece', () => {
	expect(measurePieces(new Drawing(20, 20).disc(255, 10, 10, 8).map(), flatSurface(20, 20, 2)).pieces).toEqual([]);
});

test('half covered pixels count half', () => {
	const map = new Drawing(20, 20).bar(1, 10, 10, 16, 2, 0).map();
	const whole = measurePieces(map, flatSurface(20, 20, 2)).pieces[0]!;
	const half = measurePieces({ ...map, cover: new Uint8Array(400).fill(51) }, flatSurface(20, 20, 2)).pieces[0]!;
	expect(half.areaMm2).toBeCloseTo(whole.areaMm2 / 5, 9);
});

test('turning the photo by 90 degrees changes no area', () => {
	fc.assert(
		fc.property(fc.infiniteStream(fc.nat(5)), (s) => {
			const labels = Uint8Array.from({ length: 12 * 9 }, () => s.next().value);
			const map = { width: 12, height: 9, columnOffset: 0, rowOffset: 0, labels };
			const upright = measurePieces(map, flatSurface(12, 9, 2)).pieces.map((p) => p.areaMm2);
			const other = { width: 9, height: 12, columnOffset: 0, rowOffset: 0, labels: turned(labels, 12, 9) };
			const again = measurePieces(other, flatSurface(9, 12, 2)).pieces.map((p) => p.areaMm2);
			again.sort((a, b) => a - b);
			expect(again).toHaveLength(upright.length);
			for (const [i, area] of upright.sort((a, b) => a - b).entries()) expect(again[i]).toBeCloseTo(area, 9);
		}),
		{ numRuns: 60 },
	);
});

test('whatever lies in gaps, every piece seen has a width, and its numbers are numbers', () => {
	const [width, height] = [14, 9];
	const code = fc.constantFrom(0, ...Object.values(CLASS_CODE), 255);
	fc.assert(
		fc.property(
			fc.array(code, { minLength: width * height, maxLength: width * height }),
			fc.array(fc.constantFrom(0, 1), { minLength: width * height, maxLength: width * height }),
			(labels, gaps) => {
				const map = { width, height, columnOffset: 0, rowOffset: 0, labels: Uint8Array.from(labels) };
				const { pieces } = measurePieces({ ...map, gaps: Uint8Array.from(gaps) }, flatSurface(width, height, 8));
				for (const piece of pieces.filter(({ areaMm2 }) => areaMm2 > 0)) {
					expect(piece.meanWidthMm).toBeGreaterThan(0);
					for (const value of [piece.lengthMm, piece.widthAreaMm3, piece.sheetShare])
						expect(value).toBeGreaterThanOrEqual(0);
				}
			},
		),
	);
});
