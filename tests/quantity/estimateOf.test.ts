import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { estimateOf, meanEstimateOf, quantileOf, quantileWithin } from '@/lib/quantity/estimateOf';

const numbers = fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 300 });

test('selection finds the very quantiles that sorting finds, ties and all', () => {
	fc.assert(
		fc.property(
			fc.oneof(numbers, fc.array(fc.integer({ min: 0, max: 3 }), { minLength: 1, maxLength: 300 })),
			fc.double({ min: 0, max: 1, noNaN: true }),
			(draws, probability) => {
				const sorted = Float64Array.from(draws).sort();
				const found = quantileWithin(Float64Array.from(draws), draws.length, probability);
				expect(found).toBeCloseTo(quantileOf(sorted, probability), 6);
			},
		),
	);
});

test('of many numbers, where pivots come from a sample, selection finds what sorting finds, in whatever order they lie', () => {
	const many = fc.array(fc.oneof(fc.integer({ min: -3, max: 3 }), fc.double({ min: 0, max: 1e3, noNaN: true })), {
		minLength: 601,
		maxLength: 3000,
		size: 'max',
	});
	const order = fc.constantFrom('as they come', 'rising', 'falling');
	fc.assert(
		fc.property(many, order, fc.double({ min: 0, max: 1, noNaN: true }), (draws, lie, probability) => {
			const sorted = Float64Array.from(draws).sort();
			const given = lie === 'as they come' ? Float64Array.from(draws) : sorted.slice();
			if (lie === 'falling') given.reverse();
			expect(quantileWithin(given, draws.length, probability)).toBe(quantileOf(sorted, probability));
		}),
		{ numRuns: 60 },
	);
});

test('only the first numbers are looked at where fewer are asked for', () => {
	expect(quantileWithin(Float64Array.of(3, 1, 2, 900), 3, 0.5)).toBe(2);
});

test('an estimate leaves its draws as they were', () => {
	const draws = Float64Array.of(5, 1, 4, 2, 3);
	expect(estimateOf(draws)).toEqual({ value: 3, low: 1.1, high: 4.9 });
	expect([...draws]).toEqual([5, 1, 4, 2, 3]);
});

test.each([
	['a draw that is not a number', [1, Number.NaN, 2], undefined],
	['an endless draw', [1, 2, Number.POSITIVE_INFINITY], undefined],
	['a value that is not a number', [1, 2, 3], Number.NaN],
])('an estimate of %s is refused with a sentence', (_, draws, value) => {
	let refused: unknown;
	try {
		estimateOf(draws, value);
	} catch (error) {
		refused = error;
	}
	expect(refused).toBeInstanceOf(TrayError);
	expect((refused as TrayError).code).toBe('not-a-number');
	expect((refused as TrayError).message).toMatch(/not shown/);
});

test('a mean that a long tail carries past its own quantile lies within its range', () => {
	const draws = Float64Array.from({ length: 300 }, (_, i) => (i < 5 ? 1 : 0));
	const { value, low, high } = meanEstimateOf(draws);
	expect(value).toBeCloseTo(5 / 300, 12);
	expect(low).toBe(0);
	expect(high).toBeGreaterThanOrEqual(value);
});
