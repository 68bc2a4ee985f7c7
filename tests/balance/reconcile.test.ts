import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import references from '@/tests/reference/balance.json';
import { reconcile, reconcileNonlinear } from './reconcile';

/** Every number of a list within the reference's own tolerance. */
function expectAll(found: readonly number[], expected: readonly number[], tolerance: number) {
	expect(found).toHaveLength(expected.length);
	found.forEach((value, index) => {
		expect(
			Math.abs(value - expected[index]!),
			`number ${index}: ${value}, expected ${expected[index]}`,
		).toBeLessThanOrEqual(tolerance);
	});
}

describe('published and worked balances', () => {
	test('streams that split, pass two units and merge reconcile to the textbook flows', () => {
		const { inputs, expected, tolerance } = references.reconSplitMerge;
		const { values } = reconcile({ values: inputs.x, covariance: inputs.V_diag }, { measured: inputs.A });
		expectAll(values, expected.x_reconciled, tolerance);
	});

	test('global test, measurement tests and reconciled standard deviations of the same streams', () => {
		const { inputs, expected, tolerance } = references.reconSplitMergeTests;
		const found = reconcile({ values: inputs.x, covariance: inputs.V_diag }, { measured: inputs.A });
		expectAll(found.residuals, expected.residuals, tolerance);
		expect(Math.abs(found.chiSquare - expected.global)).toBeLessThanOrEqual(tolerance);
		expect(found.degreesOfFreedom).toBe(4);
		expect(Math.abs(chiSquareQuantile(0.95, found.degreesOfFreedom) - expected.chi2_95_4)).toBeLessThanOrEqual(
			tolerance,
		);
		expectAll(found.suspicion, expected.z, tolerance);
		expectAll(found.u, expected.sd_reconciled, tolerance);
		const sidak = normalQuantile((1 + 0.95 ** (1 / 6)) / 2, 0, 1);
		expect(Math.abs(sidak - expected.z_crit_sidak)).toBeLessThanOrEqual(tolerance);
	});

	test('a stream read four units too high fails the global test and is the most suspicious', () => {
		const { inputs, expected, tolerance } = references.reconGrossError;
		const found = reconcile({ values: inputs.x, covariance: inputs.V_diag }, { measured: inputs.A });
		expectAll(found.values, expected.x_reconciled, tolerance);
		expect(Math.abs(found.chiSquare - expected.global)).toBeLessThanOrEqual(tolerance);
		expectAll(found.suspicion, expected.z, tolerance);
		expect(found.suspicion.indexOf(Math.max(...found.suspicion))).toBe(expected.suspect_index0);
		expect(found.probability).toBeLessThan(0.05);
	});

	test('one balance spreads its misfit and cannot tell which weight is wrong', () => {
		const { inputs, expected, tolerance } = references.reconOneNode;
		const variances = inputs.sd.map((sd) => sd ** 2);
		const found = reconcile({ values: inputs.x, covariance: variances }, { measured: inputs.A });
		expectAll(found.values, expected.x_reconciled, tolerance);
		expect(Math.abs(found.chiSquare - expected.global)).toBeLessThanOrEqual(tolerance);
		expectAll(found.suspicion, expected.z, tolerance);
	});

	test('eight streams over four nodes with unequal variances', () => {
		const { inputs, expected, tolerance } = references.reconEightStreams;
		const found = reconcile({ values: inputs.x, covariance: inputs.V_diag }, { measured: inputs.A });
		expectAll(found.values, expected.x_reconciled, tolerance);
		expect(Math.abs(found.chiSquare - expected.global)).toBeLessThanOrEqual(tolerance);
	});

	test('a table run whose products are 1.3 kg short of the feed', () => {
		const { inputs, expected, tolerance } = references.reconTableRun;
		const variances = inputs.u.map((u) => u ** 2);
		const found = reconcile({ values: inputs.x, covariance: variances }, { measured: inputs.A });
		expectAll(found.values, expected.x_reconciled, tolerance);
		expectAll(found.u, expected.u_reconciled, tolerance);
		expect(Math.abs(found.chiSquare - expected.global)).toBeLessThanOrEqual(tolerance);
		expect(found.degreesOfFreedom).toBe(1);
	});

	test('a stream known exactly stays where it is', () => {
		const { inputs, expected, tolerance } = references.reconProperties;
		const found = reconcile({ values: inputs.x, covariance: inputs.V_diag }, { measured: inputs.A });
		expectAll(found.values, expected.x_reconciled, tolerance);
		expect(found.suspicion[0]).toBe(0);
	});
});

describe('what is not measured, known exactly or said twice', () => {
	test('an unmeasured flow follows from the balance and leaves nothing to test', () => {
		const found = reconcile(
			{ values: [50, 2.1, 3.4], covariance: [0.0625, 0.0004, 0.0025] },
			{ measured: [[1, -1, -1]], unmeasured: [[-1]] },
		);
		expect(found.unmeasured[0]!.value).toBeCloseTo(44.5, 12);
		expect(found.unmeasured[0]!.u).toBeCloseTo(Math.sqrt(0.0654), 12);
		expect(found.unmeasured[0]!.isDetermined).toBe(true);
		expect(found.degreesOfFreedom).toBe(0);
		expect(found.probability).toBeUndefined();
		expect(found.values).toEqual([50, 2.1, 3.4]);
	});

	test('two unmeasured flows in one balance are not determined', () => {
		const found = reconcile(
			{ values: [50, 2.1], covariance: [0.1, 0.1] },
			{ measured: [[1, -1]], unmeasured: [[-1, -1]] },
		);
		expect(found.unmeasured.map(({ isDetermined }) => isDetermined)).toEqual([false, false]);
	});

	test('a balance written twice counts once', () => {
		const measured = { values: [10, 6.2, 3.5], covariance: [0.01, 0.04, 0.01] };
		const once = reconcile(measured, { measured: [[1, -1, -1]] });
		const twice = reconcile(measured, {
			measured: [
				[1, -1, -1],
				[2, -2, -2],
			],
		});
		expectAll(twice.values, once.values, 1e-12);
		expect(twice.degreesOfFreedom).toBe(1);
		expect(twice.chiSquare).toBeCloseTo(once.chiSquare, 10);
	});

	test('exact amounts that contradict each other stay unclosed instead of being bent', () => {
		const found = reconcile({ values: [10, 6, 3], covariance: [0, 0, 0] }, { measured: [[1, -1, -1]] });
		expect(found.values).toEqual([10, 6, 3]);
		expect(found.unclosed).toBeCloseTo(1, 12);
		expect(found.degreesOfFreedom).toBe(0);
	});

	test('shares that sum to one in their covariance still sum to one afterwards', () => {
		// three shares of one whole, errors cancelling, against a fourth measurement of the first
		const covariance = [
			[0.0002, -0.0001, -0.0001, 0],
			[-0.0001, 0.0002, -0.0001, 0],
			[-0.0001, -0.0001, 0.0002, 0],
			[0, 0, 0, 0.0001],
		];
		const found = reconcile(
			{ values: [0.5, 0.3, 0.2, 0.53], covariance },
			{
				measured: [
					[1, 0, 0, -1],
					[1, 1, 1, 0],
				],
				constants: [0, 1],
			},
		);
		expect(found.degreesOfFreedom).toBe(1);
		expect(found.values[0]! + found.values[1]! + found.values[2]!).toBeCloseTo(1, 12);
		expect(found.values[0]).toBeCloseTo(0.52, 12);
	});

	test('shapes that do not fit are refused', () => {
		expect(() => reconcile({ values: [1, 2], covariance: [1, 1] }, { measured: [[1, -1, 0]] })).toThrow(RangeError);
	});
});

describe('mass times grade', () => {
	test('successive linearisation meets two-product balances of metal and mass', () => {
		// feed, concentrate, tailings: masses then copper grades
		const x = [50, 2.2, 47, 0.04, 0.9, 0.006];
		const u = [0.25, 0.02, 0.4, 0.004, 0.02, 0.0015];
		const { values, chiSquare, degreesOfFreedom } = reconcileNonlinear(
			{ values: x, covariance: u.map((one) => one ** 2) },
			([f, c, t, gf, gc, gt]) => ({
				residuals: [f! - c! - t!, f! * gf! - c! * gc! - t! * gt!],
				slopes: [
					[1, -1, -1, 0, 0, 0],
					[gf!, -gc!, -gt!, f!, -c!, -t!],
				],
			}),
		);
		const [f, c, t, gf, gc, gt] = values;
		expect(f).toBeCloseTo(c! + t!, 10);
		expect(f! * gf!).toBeCloseTo(c! * gc! + t! * gt!, 10);
		expect(degreesOfFreedom).toBe(2);
		// least: nudging along either balance's null space may only raise the weighted sum of squares
		const cost = (point: readonly number[]) => point.reduce((sum, value, i) => sum + ((value - x[i]!) / u[i]!) ** 2, 0);
		expect(chiSquare).toBeCloseTo(cost(values), 6);
		for (const step of [1e-4, -1e-4]) {
			const moved = [f! + step * 10, c!, t! + step * 10, 0, gc!, gt!];
			moved[3] = (c! * gc! + moved[2]! * gt!) / moved[0]!;
			expect(cost(moved)).toBeGreaterThan(cost(values));
			const richer = [f!, c!, t!, (c! * (gc! + step) + t! * gt!) / f!, gc! + step, gt!];
			expect(cost(richer)).toBeGreaterThan(cost(values));
		}
	});
});

describe('properties', () => {
	const amount = fc.double({ min: 0.01, max: 1000, noNaN: true });
	const spread = fc.double({ min: 0.001, max: 10, noNaN: true });
	const node = fc.array(fc.record({ value: amount, u: spread }), { minLength: 2, maxLength: 6 });

	test('the balance closes, no uncertainty grows and the weighted squares add up to chi-square', () => {
		fc.assert(
			fc.property(node, (streams) => {
				const signs = streams.map((_, index) => (index === 0 ? 1 : -1));
				const variances = streams.map(({ u }) => u ** 2);
				const found = reconcile(
					{ values: streams.map(({ value }) => value), covariance: variances },
					{ measured: [signs] },
				);
				const size = Math.max(...streams.map(({ value }) => value));
				expect(Math.abs(found.values.reduce((sum, value, i) => sum + value * signs[i]!, 0))).toBeLessThan(1e-9 * size);
				for (const [i, u] of found.u.entries()) expect(u).toBeLessThanOrEqual(streams[i]!.u * (1 + 1e-9));
				const squares = found.adjustments.reduce((sum, change, i) => sum + change ** 2 / variances[i]!, 0);
				expect(squares).toBeCloseTo(found.chiSquare, 6 - Math.ceil(Math.log10(1 + found.chiSquare)));
			}),
			{ seed: 1, numRuns: 200 },
		);
	});

	test('weighing in pounds or kilograms reconciles to the same masses', () => {
		fc.assert(
			fc.property(node, fc.double({ min: 0.001, max: 1000, noNaN: true }), (streams, factor) => {
				const signs = streams.map((_, index) => (index === 0 ? 1 : -1));
				const at = (scale: number) =>
					reconcile(
						{ values: streams.map(({ value }) => value * scale), covariance: streams.map(({ u }) => (u * scale) ** 2) },
						{ measured: [signs] },
					);
				const [plain, scaled] = [at(1), at(factor)];
				const size = Math.max(...streams.map(({ value }) => value));
				for (const [i, value] of scaled.values.entries()) {
					expect(Math.abs(value / factor - plain.values[i]!)).toBeLessThan(1e-9 * size);
				}
				expect(Math.abs(scaled.chiSquare / plain.chiSquare - 1) || 0).toBeLessThan(1e-6);
			}),
			{ seed: 2, numRuns: 200 },
		);
	});
});
