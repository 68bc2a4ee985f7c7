import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import normalCdf from '@stdlib/stats-base-dists-normal-cdf';
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { expect, test } from 'vitest';
import { probabilityOf } from '@/lib/balance/misfitProbability';
import references from '@/tests/reference/statistics.json';

test('Student t, chi-square and normal quantiles are those of the tables', () => {
	for (const { inputs, expected, tolerance } of [references.tQuantiles, references.tQuantilesFractional]) {
		for (const [i, df] of inputs.df.entries()) {
			expect(Math.abs(tQuantile(0.975, df) - expected[i]!)).toBeLessThanOrEqual(tolerance);
		}
	}
	const { chi2Quantiles, normalQuantiles } = references;
	for (const [i, df] of chi2Quantiles.inputs.df.entries()) {
		expect(Math.abs(chiSquareQuantile(0.95, df) - chi2Quantiles.expected[i]!)).toBeLessThanOrEqual(
			chi2Quantiles.tolerance,
		);
	}
	normalQuantiles.inputs.p.forEach((p, i) => {
		expect(Math.abs(normalQuantile(p, 0, 1) - normalQuantiles.expected[i]!)).toBeLessThanOrEqual(
			normalQuantiles.tolerance,
		);
		expect(normalCdf(normalQuantiles.expected[i]!, 0, 1)).toBeCloseTo(p, 10);
	});
});

test('a misfit at the tabled limit is exceeded five times in a hundred', () => {
	references.chi2Quantiles.inputs.df.forEach((df, i) => {
		expect(probabilityOf(references.chi2Quantiles.expected[i]!, df)).toBeCloseTo(0.05, 8);
	});
});
