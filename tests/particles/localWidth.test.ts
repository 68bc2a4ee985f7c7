import fc from 'fast-check';
import { expect, test } from 'vitest';
import { localWidthsPx } from '@/lib/particles/localWidth';
import { Drawing, digits, turned } from './shapes';

/** Mean width over the pieces' pixels, as masses are summed. */
function meanWidth(drawing: Drawing, cover?: Uint8Array): number {
	const widths = localWidthsPx(drawing.labels, drawing.width, drawing.height, cover);
	const covered = drawing.labels.map((label) => (label === 0 ? 0 : 1));
	return widths.reduce((sum, w) => sum + w, 0) / covered.reduce((sum, n) => sum + n, 0);
}

/** Bars of one width at several places of the pixel grid, since a width of 2.5 px is 2 here and 3 there. */
function meanWidthOfBars(breadth: number, turnDeg: number): number {
	const length = Math.max(40, 6 * breadth);
	const size = Math.ceil(1.5 * length) + 8;
	const shifts = [0.07, 0.21, 0.36, 0.49, 0.64, 0.78, 0.93];
	let area = 0;
	let widthArea = 0;
	for (const shift of shifts) {
		const drawing = new Drawing(size, size).bar(1, size / 2 + shift, size / 2 + shift * 0.6, length, breadth, turnDeg);
		const pixels = drawing.labels.reduce((sum, label) => sum + label, 0);
		area += pixels;
		widthArea += pixels * meanWidth(drawing);
	}
	return widthArea / area;
}

const DIRECTIONS = [0, 8, 15, 22.5, 31, 45, 62, 80];

test.each([1.5, 2, 2.5, 3, 4, 5, 7, 10, 14, 20, 28, 40])(
	'a bar %d px wide is read within 5 per cent over all directions',
	(breadth) => {
		const mean = DIRECTIONS.reduce((sum, turn) => sum + meanWidthOfBars(breadth, turn), 0) / DIRECTIONS.length;
		expect(Math.abs(mean / breadth - 1)).toBeLessThan(0.05);
	},
);

test.each([2.5, 4.5, 9.5, 16.5, 33.5])(
	'a bar %d px wide is read within 10 per cent in each direction alone',
	(breadth) => {
		// Looser than over all directions: along an axis every row of the bar has the same phase on the grid.
		for (const turn of DIRECTIONS) expect(Math.abs(meanWidthOfBars(breadth, turn) / breadth - 1)).toBeLessThan(0.1);
	},
);

test.each([20, 28, 40])('a disc %d px across is read within 5 per cent', (diameter) => {
	const size = diameter + 8;
	const mean = meanWidth(new Drawing(size, size).disc(1, size / 2 + 0.3, size / 2 + 0.1, diameter));
	expect(Math.abs(mean / diameter - 1)).toBeLessThan(0.05);
});

test('a thick wire and the hair that touches it keep their own widths', () => {
	const drawing = new Drawing(120, 90).bar(1, 60, 40, 80, 16, 0).bar(1, 60.2, 68, 3, 42, 0);
	const widths = localWidthsPx(drawing.labels, 120, 90);
	expect(widths[40 * 120 + 40]).toBeCloseTo(16, 0);
	expect(widths[75 * 120 + 60]! / 3).toBeGreaterThan(0.85);
	expect(widths[75 * 120 + 60]! / 3).toBeLessThan(1.15);
});

test('a strand that covers half of each of its pixels has half the width', () => {
	const drawing = new Drawing(60, 20).bar(1, 30, 10, 50, 2, 0);
	const whole = meanWidth(drawing);
	expect(meanWidth(drawing, new Uint8Array(1200).fill(128))).toBeCloseTo((whole * 128) / 255, 5);
});

test('a single pixel is one pixel wide', () => {
	const { labels, width, height } = digits(['...', '.1.', '...']);
	expect(localWidthsPx(labels, width, height)[4]).toBe(1);
});

test('a piece cut by the picture keeps the width it has beyond the border', () => {
	const drawing = new Drawing(40, 40).bar(1, 20, 0, 200, 20, 0);
	expect(localWidthsPx(drawing.labels, 40, 40)[20]).toBeGreaterThan(18);
});

test('turning a picture by 90 degrees turns the widths and changes their sum by rounding only', () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 3, max: 16 }),
			fc.integer({ min: 3, max: 16 }),
			fc.infiniteStream(fc.nat(3)),
			(w, h, s) => {
				const labels = Uint8Array.from({ length: w * h }, () => Math.max(0, s.next().value - 1));
				const sum = localWidthsPx(labels, w, h).reduce((total, v) => total + v, 0);
				const again = localWidthsPx(turned(labels, w, h), h, w).reduce((total, v) => total + v, 0);
				// Among equally steep neighbours the first in reading order wins, so single pixels may reach another ridge.
				expect(Math.abs(again - sum)).toBeLessThanOrEqual(0.05 * sum + 1e-6);
			},
		),
		{ numRuns: 100 },
	);
});
