import { expect, test } from 'vitest';
import { covarianceOf, meanOf, medianOf, standardDeviationOf } from '@/lib/quantity/moments';
import references from '@/tests/reference/statistics.json';

test.each(['nistMavro', 'nistMichelso', 'nistNumacc1'] as const)(
	'certified mean and standard deviation of %s',
	(name) => {
		const { inputs, expected, tolerance } = references[name];
		expect(Math.abs(meanOf(inputs.y) - expected.mean)).toBeLessThanOrEqual(tolerance);
		expect(Math.abs(standardDeviationOf(inputs.y) - expected.sd)).toBeLessThanOrEqual(tolerance);
	},
);

test('certified mean and standard deviation of numbers that differ in their ninth digit', () => {
	const { inputs, expected, tolerance } = references.nistNumacc4;
	const y = [inputs.first, ...Array.from({ length: inputs.times }, () => inputs.repeat).flat()];
	expect(Math.abs(meanOf(y) - expected.mean)).toBeLessThanOrEqual(tolerance.mean);
	expect(Math.abs(standardDeviationOf(y) - expected.sd)).toBeLessThanOrEqual(tolerance.sd);
});

test('two series in step have the covariance of their steps', () => {
	expect(covarianceOf([1, 2, 3], [10, 20, 30])).toBeCloseTo(10, 12);
	expect(covarianceOf([1, 2, 3], [3, 2, 1])).toBeCloseTo(-1, 12);
});

test('the median is the middle in order, or between the two middle ones, and leaves what it was given as it was', () => {
	const values = [10, 9, 200, 1];
	expect(medianOf(values)).toBe(9.5);
	expect(medianOf([...values, 9])).toBe(9);
	expect(values).toEqual([10, 9, 200, 1]);
});

test('no values, one value and unequal series are refused', () => {
	expect(() => meanOf([])).toThrow(RangeError);
	expect(() => medianOf([])).toThrow(RangeError);
	expect(() => standardDeviationOf([1])).toThrow(RangeError);
	expect(() => covarianceOf([1, 2], [1, 2, 3])).toThrow(RangeError);
});
