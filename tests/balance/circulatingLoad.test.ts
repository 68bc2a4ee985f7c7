import { expect, test } from 'vitest';
import { totalLoadOf } from '@/lib/balance/circulatingLoad';
import references from '@/tests/reference/balance.json';

test('returning middlings loads the table as the geometric series says', () => {
	const { inputs, expected, tolerance } = references.recirculationSeries;
	inputs.r.forEach((returned, index) => {
		expect(Math.abs(totalLoadOf(returned) - expected.load[index]!)).toBeLessThanOrEqual(tolerance);
		expect(Math.abs(100 * (totalLoadOf(returned) - 1) - expected.circulating_load_pct[index]!)).toBeLessThanOrEqual(
			1e-7,
		);
	});
	expect(Math.abs(totalLoadOf(0.08, 3) - expected['after_3_passes_r_0.08'])).toBeLessThanOrEqual(tolerance);
});

test('closed-circuit recovery when rerun middlings split like fresh feed', () => {
	const { inputs, expected, tolerance } = references.recirculationRecovery;
	expect(Math.abs(inputs.p * totalLoadOf(inputs.q) - expected)).toBeLessThanOrEqual(tolerance);
});

test('a table that returns everything has no steady state', () => {
	expect(() => totalLoadOf(1)).toThrow(RangeError);
});
