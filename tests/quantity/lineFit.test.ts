import fc from 'fast-check';
import { expect, test } from 'vitest';
import { lineThrough, slopeRangeOf } from '@/lib/quantity/lineFit';
import { seededRandom } from '@/lib/quantity/seededRandom';
import reference from '../reference/regression.json';

test("Pearson's points with York's weights give the published line and its standard errors", () => {
	const { inputs, expected, tolerance } = reference.pearsonYork;
	const fit = lineThrough(
		inputs.x.map((x, i) => ({
			x: { value: x, u: inputs.weightX[i]! ** -0.5 },
			y: { value: inputs.y[i]!, u: inputs.weightY[i]! ** -0.5 },
		})),
	);
	const near = (found: number, name: keyof typeof expected) =>
		expect(Math.abs(found - expected[name]), name).toBeLessThan(tolerance[name]);
	near(fit.slope.value, 'slope');
	near(fit.intercept.value, 'intercept');
	near(fit.slope.u, 'se_slope');
	near(fit.intercept.u, 'se_intercept');
	near(fit.chiSquare, 'chiSquare');
	expect(fit.degreesOfFreedom).toBe(8);
});

const scattered = fc
	.array(fc.tuple(fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true })), {
		minLength: 8,
		maxLength: 20,
	})
	.map((noise) => noise.map(([dx, dy], i) => ({ x: i + 0.4 * dx, y: 3 + 0.7 * i + 0.4 * dy })));

test("with one ratio of variances for all points it is Deming's line", () => {
	fc.assert(
		fc.property(scattered, fc.double({ min: 0.2, max: 5, noNaN: true }), (points, ratio) => {
			const n = points.length;
			const [mx, my] = [points.reduce((s, { x }) => s + x, 0) / n, points.reduce((s, { y }) => s + y, 0) / n];
			const sums = points.reduce(
				({ xx, yy, xy }, { x, y }) => ({
					xx: xx + (x - mx) ** 2,
					yy: yy + (y - my) ** 2,
					xy: xy + (x - mx) * (y - my),
				}),
				{ xx: 0, yy: 0, xy: 0 },
			);
			const gap = sums.yy - ratio * sums.xx;
			// closed form, NIST Dataplot reference manual, Deming fit
			const slope = (gap + Math.sqrt(gap ** 2 + 4 * ratio * sums.xy ** 2)) / (2 * sums.xy);
			const fit = lineThrough(
				points.map(({ x, y }) => ({ x: { value: x, u: 0.3 }, y: { value: y, u: 0.3 * Math.sqrt(ratio) } })),
			);
			expect(fit.slope.value).toBeCloseTo(slope, 8);
		}),
		{ numRuns: 50 },
	);
});

test('swapping the sides gives the same line', () => {
	const points = [1, 2, 3, 4, 5].map((x, i) => ({
		x: { value: x + 0.1 * (-1) ** i, u: 0.1 + 0.02 * i },
		y: { value: 2 * x - 0.2 * (-1) ** i, u: 0.3 - 0.03 * i },
	}));
	const [one, other] = [lineThrough(points), lineThrough(points.map(({ x, y }) => ({ x: y, y: x })))];
	expect(other.slope.value).toBeCloseTo(1 / one.slope.value, 9);
});

test.each([
	['as stated', 1, 0.03],
	['three times as stated', 3, 0.03],
])("the slope's range holds the truth where five points scatter %s", (_, times, slack) => {
	const random = seededRandom(4, 'scattered line', String(times));
	const u = 0.01;
	let held = 0;
	const trials = 2000;
	for (let trial = 0; trial < trials; trial++) {
		const scattered = (value: number) => ({ value: value + times * u * random.normal(), u });
		const fit = lineThrough([0.1, 0.3, 0.5, 0.7, 0.9].map((x) => ({ x: scattered(x), y: scattered(0.8 * x) })));
		const { low, high } = slopeRangeOf(fit);
		held += Number(low <= 0.8 && 0.8 <= high);
	}
	expect(Math.abs(held / trials - 0.95)).toBeLessThan(slack);
});

test('too few points and exact points are refused', () => {
	const point = { x: { value: 1, u: 0.1 }, y: { value: 1, u: 0.1 } };
	expect(() => lineThrough([point, point])).toThrow(RangeError);
	expect(() => lineThrough([point, point, { ...point, x: { value: 2, u: 0 } }])).toThrow(RangeError);
});
