import fc from 'fast-check';
import { expect, test } from 'vitest';
import { holdStill } from '@/lib/grade/causes';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { shiftShares } from '@/lib/grade/sceneScatter';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';

const areas = fc
	.array(fc.double({ min: 0, max: 1000, noNaN: true }), { minLength: 5, maxLength: 5 })
	.filter((five) => five.some((area) => area > 1e-6));
const shift = fc.double({ min: -6, max: 6, noNaN: true });
const sumOf = (five: ArrayLike<number>) => Array.from(five).reduce((sum, area) => sum + area, 0);
const shifted = (five: readonly number[], copper: number, aluminium: number) => {
	const moved = Float64Array.from(five);
	shiftShares(moved, copper, aluminium);
	return moved;
};

test('a shift keeps the whole area, makes none negative, and no shift changes nothing', () => {
	fc.assert(
		fc.property(areas, shift, shift, (five, copper, aluminium) => {
			const moved = shifted(five, copper, aluminium);
			expect(sumOf(moved) / sumOf(five)).toBeCloseTo(1, 9);
			for (const area of moved) expect(area).toBeGreaterThanOrEqual(-1e-9 * sumOf(five));
			const same = shifted(five, 0, 0);
			for (const [c, area] of five.entries()) expect(same[c]! / sumOf(five)).toBeCloseTo(area / sumOf(five), 9);
		}),
	);
});

test('shifted upwards there is more copper, even where none was seen; bright and tinned keep their proportion', () => {
	fc.assert(
		fc.property(areas, fc.double({ min: 0.1, max: 6, noNaN: true }), shift, (five, up, aluminium) => {
			const moved = shifted(five, up, aluminium);
			const [before, after] = [five[0]! + five[1]!, moved[0]! + moved[1]!].map((area) => area / sumOf(five));
			expect(after!).toBeGreaterThanOrEqual(before! - 1e-9);
			if (before! < 0.9) expect(after!).toBeGreaterThan(before!);
			expect(moved[0]! * five[1]!).toBeCloseTo(moved[1]! * five[0]!, 3);
		}),
	);
});

test('log odds are reckoned between a twentieth and nineteen twentieths', () => {
	// none seen is a twentieth; twice its odds are 2/19, a share of 2/21; (2/21 - 1/20) / 0.9 = 0.0503
	const moved = shifted([0, 0, 0, 100, 0], Math.log(2), 0);
	expect(moved[0]).toBeCloseTo((100 * (2 / 21 - 1 / 20)) / 0.9, 9);
	expect(moved[3]).toBeCloseTo(100 - moved[0]!, 9);
});

test('only what colours alone read is shifted, four worlds of five not at all, and never where mix-ups are held still', () => {
	const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 4000, 20);
	expect(shared.sceneShiftOf('model-mat')).toBeUndefined();
	const { copper } = shared.sceneShiftOf('threshold-mat')!;
	const none = copper.filter((add) => add === 0).length / copper.length;
	expect(none).toBeGreaterThan(0.77); // four fifths, some five standard errors of 4000 draws either way
	expect(none).toBeLessThan(0.83);
	expect(Math.min(...copper)).toBe(0);
	expect(shared.sceneShiftOf('threshold-mat')!.copper).toBe(copper);
	expect(holdStill(shared, ['confusion']).sceneShiftOf('threshold-mat')).toBeUndefined();
	expect(holdStill(shared, ['density']).sceneShiftOf('threshold-mat')!.copper).toBe(copper);
});
