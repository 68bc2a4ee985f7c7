import fc from 'fast-check';
import { expect, test } from 'vitest';
import { BACKGROUND, CLASS_CODE } from '@/lib/material/classes';
import { CELLS } from '@/lib/segmentation/cells';
import { fieldBoxOf } from '@/lib/segmentation/fieldBox';
import { glossOf, glossVotes } from '@/lib/segmentation/gloss';
import { weighGloss } from '@/lib/segmentation/glossLabels';
import { LOG_STEPS_PER_E } from '@/lib/segmentation/lookupTable';
import { stepTable } from '@/lib/segmentation/stepTable';
import { flatSurface } from '../particles/shapes';
import { PAPER, PLAIN_LIGHT, photo, RED_PLASTIC, type Rgb } from './trays';

/** A piece of 200 pixels of one colour, shaded evenly by up to `shade` either way, a tenth of them with a highlight on top. */
function piece(body: Rgb, highlight: Rgb, shade = 0.1): Float32Array {
	const pixels = Array.from({ length: 200 }, (_, i) => {
		const light = 1 + shade * (((i * 37) % 100) / 50 - 1);
		return i % 10 === 0 ? body.map((v, c) => v + highlight[c]!) : body.map((v) => v * light);
	});
	return Float32Array.from(pixels.flat());
}

const COPPER: Rgb = [0.42, 0.24, 0.16];
const vote = (rgb: Float32Array) => {
	const gloss = glossOf(rgb);
	return glossVotes([gloss, gloss, gloss, gloss, gloss], [200, 200, 200, 200, 200])?.ofPhoto;
};

test('a highlight in the colour of the lamp on red plastic votes plastic', () => {
	const rgb = piece(RED_PLASTIC, [0.3, 0.3, 0.3]);
	expect(glossOf(rgb)!.tint).toBeCloseTo(0, 1);
	expect(vote(rgb)).toBeLessThan(0);
});

test('a highlight in copper’s own colour on copper votes metal', () => {
	const rgb = piece(COPPER, [0.84, 0.48, 0.32]);
	expect(glossOf(rgb)!.tint).toBeCloseTo(1, 1);
	expect(vote(rgb)).toBeGreaterThan(0);
});

test('a grey highlight on a grey piece gives no vote, and neither do few pixels or few pieces', () => {
	expect(glossOf(piece([0.3, 0.3, 0.3], [0.5, 0.5, 0.5]))).toBeUndefined();
	expect(vote(piece([0.3, 0.3, 0.3], [0.5, 0.5, 0.5]))).toBeUndefined();
	expect(glossOf(piece(COPPER, [0.4, 0.4, 0.4]).subarray(0, 57))).toBeUndefined();
	const gloss = glossOf(piece(COPPER, [0.4, 0.4, 0.4]));
	expect(glossVotes([gloss, gloss, gloss, gloss, undefined], [200, 200, 200, 200, 200])).toBeUndefined();
});

test('shine and tint do not hang on exposure, and whiter highlights never speak more for metal', () => {
	const part = fc.double({ min: 0, max: 1, noNaN: true });
	fc.assert(
		fc.property(part, part, fc.double({ min: 0.2, max: 1.5, noNaN: true }), (own, other, exposure) => {
			// of the same luminance, so that only its colour differs
			const highlight = (tint: number): Rgb => [0.28 + 0.14 * tint, 0.28 - 0.04 * tint, 0.28 - 0.12 * tint];
			const one = glossOf(piece(COPPER, highlight(own)))!;
			const lit = glossOf(piece(COPPER, highlight(own)).map((v) => v * exposure))!;
			expect(lit.shine).toBeCloseTo(one.shine, 4);
			expect(lit.tint).toBeCloseTo(one.tint, 4);
			const two = glossOf(piece(COPPER, highlight(other)))!;
			if (own > other + 0.01) expect(one.tint).toBeGreaterThan(two.tint);
		}),
	);
});

/** Discs on paper, each with a spot of light on it, all called copper: the share that still is after the vote. */
function copperLeft(body: Rgb, spot: Rgb, shade: number, logOddsByColour: number) {
	const [width, height] = [240, 160];
	const fromMiddle = (x: number, y: number) => [(x % 40) - 20, (y % 40) - 20] as const;
	const raster = photo(width, height, (x, y) => {
		const [dx, dy] = fromMiddle(x, y);
		if (Math.hypot(dx, dy) > 13) return PAPER;
		if (Math.hypot(dx + 3, dy + 3) < 3.5) return spot;
		return body.map((v) => v * (1 + (shade * dx) / 13)) as unknown as Rgb;
	});
	const labels = Uint8Array.from({ length: width * height }, (_, i) => {
		const [dx, dy] = fromMiddle((i % width) + 0.5, Math.floor(i / width) + 0.5);
		return Math.hypot(dx, dy) > 13 ? BACKGROUND : CLASS_CODE.brightCopper;
	});
	const surface = flatSurface(width, height, 8);
	const steps = stepTable(surface, PLAIN_LIGHT, fieldBoxOf(raster, surface));
	const odds = new Int8Array(CELLS).fill(LOG_STEPS_PER_E * logOddsByColour);
	const map = { width, height, columnOffset: 0, rowOffset: 0, labels };
	const voted = weighGloss(raster, surface, PLAIN_LIGHT, map, steps, odds).labels;
	const copper = (some: Uint8Array) => some.filter((label) => label === CLASS_CODE.brightCopper).length;
	return copper(voted) / copper(labels);
}

test('pieces of a doubtful brown stay copper where their shine is coppery and become insulation where it is white', () => {
	expect(copperLeft(COPPER, [0.84, 0.48, 0.32], 0.5, 0.5)).toBe(1);
	expect(copperLeft(COPPER, [0.6, 0.42, 0.34], 0.1, 0.5)).toBe(0);
});

test('the vote is a second one: it does not turn what colour is sure of', () => {
	expect(copperLeft(COPPER, [0.6, 0.42, 0.34], 0.1, 5)).toBe(1);
});

test('a clipped glint is no highlight: pieces are judged by the rest of them', () => {
	expect(glossOf(piece(COPPER, [0, 0, 0]))!.tint).toBeGreaterThan(0.9);
	expect(copperLeft(COPPER, [3, 3, 3], 0.1, 0.5)).toBe(copperLeft(COPPER, COPPER, 0.1, 0.5));
});
