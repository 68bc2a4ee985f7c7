import fc from 'fast-check';
import { expect, test } from 'vitest';
import { BACKGROUND, CLASS_CODE } from '@/lib/material/classes';
import { coverOf } from '@/lib/segmentation/cover';
import { addStrands } from '@/lib/segmentation/strands';
import { across, along, differenceScatter, type Rgb } from '@/lib/segmentation/unmixing';
import { flatSurface } from '../particles/shapes';
import { COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

const WIDTH = 320;
const HEIGHT = 260;
const SIGMA = 0.7;

/** Light of a thin line under a normal blur, at a distance from its middle. */
const blurred = (distance: number, breadth: number) =>
	(breadth / (SIGMA * Math.sqrt(2 * Math.PI))) * Math.exp(-0.5 * (distance / SIGMA) ** 2);

const strandAt = (x: number, y: number, breadth: number) => {
	const line = (y - 0.13 * x + 400) % 40;
	return Math.min(1, blurred((line - 20) * Math.cos(Math.atan(0.13)), breadth));
};

/** Strands of a colour, none of them labelled, and one thick copper bar that is. */
function strands(colour: Rgb, breadth: number) {
	const raster = photo(
		WIDTH,
		HEIGHT,
		(x, y) => {
			if (y > 215) return Math.abs(y - 235) < 12 ? COPPER : PAPER;
			const share = strandAt(x, y, breadth);
			// a soft shadow over the whole sheet
			const shade = 1 - 0.4 * (x / WIDTH);
			return PAPER.map((v, c) => shade * (share * colour[c]! + (1 - share) * v)) as unknown as Rgb;
		},
		0.008,
	);
	const labels = Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) =>
		Math.abs(Math.floor(i / WIDTH) + 0.5 - 235) < 12 ? CLASS_CODE.brightCopper : BACKGROUND,
	);
	const surface = flatSurface(WIDTH, HEIGHT, 8);
	const found = addStrands(raster, surface, PLAIN_LIGHT, {
		width: WIDTH,
		height: HEIGHT,
		columnOffset: 0,
		rowOffset: 0,
		labels,
	});
	const { labels: called, cover } = coverOf(raster, surface, PLAIN_LIGHT, found);
	let covered = 0;
	let truth = 0;
	for (let i = 0; i < 200 * WIDTH; i++) {
		if (called[i] !== BACKGROUND) covered += cover![i]! / 255;
		truth += strandAt((i % WIDTH) + 0.5, Math.floor(i / WIDTH) + 0.5, breadth);
	}
	return covered / truth;
}

test.each([0.7, 1, 1.4])(
	'copper strands %d px wide that hold no pixel of their own are found, and neither vanish nor double',
	(breadth) => {
		expect(strands(COPPER, breadth)).toBeGreaterThan(0.75);
		expect(strands(COPPER, breadth)).toBeLessThan(1.3);
	},
);

test('dark lines without colour are no copper: shadows and tinned wire', () => {
	expect(strands([0.3, 0.3, 0.3], 1)).toBeLessThan(0.02);
});

test('bare paper with grain has no strands', () => {
	expect(strands(PAPER, 1)).toBeLessThan(0.005);
});

const part = fc.double({ min: 0.05, max: 0.95, noNaN: true });
const colour = fc.tuple(part, part, part);

test('a mix of metal and shaded surface gives the metal’s share, whatever the shade', () => {
	fc.assert(
		fc.property(colour, colour, part, part, (bare, metal, share, shade) => {
			const weights = across(bare, metal);
			if (weights === undefined) return;
			const mixed = bare.map((v, c) => share * metal[c]! + shade * v);
			expect(weights.reduce((sum, w, c) => sum + w * mixed[c]!, 0)).toBeCloseTo(share, 6);
		}),
	);
});

test('with grain that is alike and unrelated in all channels the pull is the plain projection', () => {
	fc.assert(
		fc.property(colour, colour, part, (bare, metal, share) => {
			const square = bare.reduce((sum, v, c) => sum + (metal[c]! - v) ** 2, 0);
			if (square < 1e-3) return;
			const weights = along(bare, metal, [0.01, 0, 0, 0.01, 0, 0.01])!;
			for (const c of [0, 1, 2] as const) expect(weights[c]).toBeCloseTo((metal[c] - bare[c]) / square, 6);
			const pulled = weights.reduce((sum, w, c) => sum + w * share * (metal[c]! - bare[c]!), 0);
			expect(pulled).toBeCloseTo(share, 6);
		}),
	);
});

test('grain is the covariance of differences, edges left out', () => {
	const grain = Float64Array.from({ length: 3000 }, (_, i) => [0.02, 0.01, -0.01][i % 3]! * (i % 6 < 3 ? 1 : -1));
	grain.set([5, 5, 5], 30);
	const [rr, rg, rb, gg, gb, bb] = differenceScatter(grain)!;
	for (const [found, expected] of [
		[rr, 4e-4],
		[rg, 2e-4],
		[rb, -2e-4],
		[gg, 1e-4],
		[gb, -1e-4],
		[bb, 1e-4],
	] as const)
		expect(Math.abs(found - expected)).toBeLessThan(2e-5); // the part that rounding is taken to add
	expect(differenceScatter(grain.subarray(0, 300))).toBeUndefined();
});
