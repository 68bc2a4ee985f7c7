import fc from 'fast-check';
import { expect, test } from 'vitest';
import { roundEstimate, roundForPrint } from '@/lib/quantity/roundForPrint';

test('the guide to uncertainty rounds 10.057 62 with 27 thousandths to 10.058', () => {
	// JCGM 100:2008 7.2.6: y = 10.057 62 ohm with u = 27 milliohm is rounded to 10.058 ohm
	expect(roundForPrint({ value: 10.05762, u: 0.027 })).toEqual({ value: 10.058, u: 0.027, decimals: 3 });
});

test('100.021 47 g with 0.35 mg is printed 100.021 47 (35)', () => {
	// JCGM 100:2008 7.2.2
	expect(roundForPrint({ value: 100.02147, u: 0.00035 })).toEqual({ value: 100.02147, u: 0.00035, decimals: 5 });
});

test.each([
	[
		{ value: 0.91706, low: 0.87636, high: 0.94759 },
		{ value: 0.917, low: 0.876, high: 0.948, decimals: 3 },
	],
	[
		{ value: 1234.56, low: 1100, high: 1400 },
		{ value: 1230, low: 1100, high: 1400, decimals: 0 },
	],
	[
		{ value: 0.0065381, low: 0.0026834, high: 0.013456 },
		{ value: 0.0065, low: 0.0027, high: 0.0135, decimals: 4 },
	],
	[
		{ value: 50, low: 50, high: 50 },
		{ value: 50, low: 50, high: 50, decimals: 4 },
	],
	[
		{ value: 0, low: 0, high: 0 },
		{ value: 0, low: 0, high: 0, decimals: 0 },
	],
])('an estimate is printed to the second digit of half its width', (estimate, printed) => {
	expect(roundEstimate(estimate)).toEqual(printed);
});

test('an estimate below its detection limit keeps saying so', () => {
	expect(roundEstimate({ value: 0.001, low: 0, high: 0.004, belowDetectionLimit: true }).belowDetectionLimit).toBe(
		true,
	);
});

test('an uncertainty of nothing gives no place to round to', () => {
	expect(() => roundForPrint({ value: 1, u: 0 })).toThrow(RangeError);
});

test('printing moves nothing by more than a twentieth of half the width', () => {
	const amount = fc.double({ min: -1e6, max: 1e6, noNaN: true });
	fc.assert(
		fc.property(amount, fc.double({ min: 1e-6, max: 1e6, noNaN: true }), (value, halfWidth) => {
			const printed = roundEstimate({ value, low: value - halfWidth, high: value + halfWidth });
			expect(Math.abs(printed.value - value)).toBeLessThanOrEqual(0.0501 * halfWidth);
			expect(printed.low).toBeLessThanOrEqual(printed.value);
			expect(printed.high).toBeGreaterThanOrEqual(printed.value);
		}),
		{ seed: 5 },
	);
});
