import { describe, expect, test } from 'vitest';
import { positiveDraws, shareDraws } from '@/lib/quantity/draws';
import { estimateOf } from '@/lib/quantity/estimateOf';
import { covarianceOf, meanOf, standardDeviationOf } from '@/lib/quantity/moments';
import { propagate } from '@/lib/quantity/propagate';
import { type Random, seededRandom } from '@/lib/quantity/seededRandom';
import references from '@/tests/reference/uncertainty.json';
import { normalDraws } from './normalDraws';

/** As many draws as JCGM 101:2008 7.2.1 advises for a 95 % interval to be stable in its second digit, and more. */
const COUNT = 400_000;

/** JCGM 101:2008 6.4.2. */
const rectangularDraws = (low: number, high: number, count: number, random: Random) =>
	Float64Array.from({ length: count }, () => low + (high - low) * random.uniform());
const rectangular = (half: number, count: number, random: Random) => rectangularDraws(-half, half, count, random);
const near = (found: number, expected: number, tolerance: number) =>
	expect(Math.abs(found - expected), `${found}, expected ${expected}`).toBeLessThanOrEqual(tolerance);

describe('worked examples of the guides', () => {
	test('the sum of four rectangular inputs', () => {
		const { expected, tolerance } = references.jcgm101AdditiveRect;
		const random = seededRandom(20, 'four rectangles');
		const inputs = [0, 1, 2, 3].map(() => rectangular(Math.sqrt(3), COUNT, random));
		const sum = propagate(inputs, (...values: number[]) => values.reduce((total, value) => total + value, 0));
		near(standardDeviationOf(sum), expected.u, tolerance.u);
		const { low, high } = estimateOf(sum);
		near(low, expected.interval_mc[0]!, tolerance.interval_mc);
		near(high, expected.interval_mc[1]!, tolerance.interval_mc);
	});

	test('one dominant rectangular input among normal-sized ones', () => {
		const { expected, tolerance } = references.jcgm101AdditiveDominant;
		const random = seededRandom(20, 'dominant rectangle');
		const inputs = [1, 1, 1, 10].map((sd) => rectangular(sd * Math.sqrt(3), COUNT, random));
		const sum = propagate(inputs, (...values: number[]) => values.reduce((total, value) => total + value, 0));
		near(standardDeviationOf(sum), expected.u, tolerance.u);
		near(estimateOf(sum).low, expected.interval_mc[0]!, tolerance.interval_mc);
		near(estimateOf(sum).high, expected.interval_mc[1]!, tolerance.interval_mc);
	});

	test('a mass calibration where first order fails', () => {
		const { expected, tolerance } = references.jcgm101Mass;
		const random = seededRandom(20, 'mass calibration');
		const difference = propagate(
			[
				normalDraws({ value: 100_000, u: 0.05 }, COUNT, random),
				normalDraws({ value: 1.234, u: 0.02 }, COUNT, random),
				rectangularDraws(1.1, 1.3, COUNT, random),
				rectangularDraws(7000, 9000, COUNT, random),
				rectangularDraws(7950, 8050, COUNT, random),
			],
			(reference, added, air, weight, standard) =>
				(reference + added) * (1 + (air - 1.2) * (1 / weight - 1 / standard)) - 100_000,
		);
		near(meanOf(difference), expected.mc.y, tolerance.mc);
		near(standardDeviationOf(difference), expected.mc.u, tolerance.mc);
		near(estimateOf(difference).low, expected.mc.interval[0]!, tolerance.mc);
		near(estimateOf(difference).high, expected.mc.interval[1]!, tolerance.mc);
	});

	test('an end gauge: the draws see the second-order term that the first-order 32 nm leaves out', () => {
		const { inputs, expected } = references.gumH1;
		const random = seededRandom(20, 'end gauge');
		const length = propagate(
			[
				normalDraws({ value: inputs.l_s_nm, u: inputs.u_ls }, COUNT, random),
				normalDraws({ value: inputs.d_nm, u: Math.hypot(...inputs.d_parts) }, COUNT, random),
				rectangularDraws(inputs.alpha_s - 2e-6, inputs.alpha_s + 2e-6, COUNT, random),
				rectangular(inputs.dalpha_halfwidth, COUNT, random),
				// mean temperature offset -0.1 with u 0.2, and a cyclic variation of half-width 0.5 (U-shaped)
				normalDraws({ value: inputs.theta_mean, u: 0.2 }, COUNT, random),
				propagate([rectangular(Math.PI / 2, COUNT, random)], (angle) => 0.5 * Math.sin(angle)),
				rectangular(inputs.dtheta_halfwidth, COUNT, random),
			],
			(standard, difference, alpha, dAlpha, mean, cycle, dTheta) =>
				standard + difference - standard * (dAlpha * (mean + cycle) + alpha * dTheta),
		);
		near(meanOf(length), expected.l_nm, expected.u_c_nm / Math.sqrt(COUNT) + 0.5);
		// JCGM 100:2008 H.1.7 gives 34 nm with second-order terms, rounded to a whole nanometre
		near(standardDeviationOf(length), 34, 0.6);
	});

	test('resistance, reactance and impedance from correlated readings', () => {
		const { inputs, expected, tolerance } = references.gumH2;
		const random = seededRandom(21, 'impedance');
		const series = [inputs.V, inputs.I_A, inputs.phi];
		const [V, I, phi] = correlatedNormals(series, COUNT, random);
		const R = propagate([V!, I!, phi!], (v, i, p) => (v / i) * Math.cos(p));
		const X = propagate([V!, I!, phi!], (v, i, p) => (v / i) * Math.sin(p));
		const Z = propagate([V!, I!], (v, i) => v / i);
		const correlation = (a: Float64Array, b: Float64Array) =>
			covarianceOf(a, b) / (standardDeviationOf(a) * standardDeviationOf(b));
		near(meanOf(R), expected.R, tolerance.R);
		near(meanOf(X), expected.X, tolerance.X);
		near(meanOf(Z), expected.Z, tolerance.Z);
		// beside the printed rounding, three standard deviations of a standard deviation from so many draws
		const scatter = (u: number) => (3 * u) / Math.sqrt(2 * COUNT);
		near(standardDeviationOf(R), expected.u_R, tolerance.u_R + scatter(expected.u_R));
		near(standardDeviationOf(X), expected.u_X, tolerance.u_X + scatter(expected.u_X));
		near(standardDeviationOf(Z), expected.u_Z, tolerance.u_Z + scatter(expected.u_Z));
		near(correlation(R, X), expected.r_RX, tolerance.r_RX);
		near(correlation(R, Z), expected.r_RZ, tolerance.r_RZ);
		near(correlation(X, Z), expected.r_XZ, tolerance.r_XZ);
	});

	test('a cadmium standard from mass, purity and volume', () => {
		const { inputs, expected, tolerance } = references.eurachemA1;
		const random = seededRandom(20, 'cadmium');
		const { V_mL: volume, P: purity } = inputs;
		const concentration = propagate(
			[
				normalDraws({ value: inputs.m_mg[0]!, u: inputs.m_mg[1]! }, COUNT, random),
				rectangularDraws(purity.value - purity.rect, purity.value + purity.rect, COUNT, random),
				// two rectangles of half the width make the triangle
				rectangular(volume.tri / 2, COUNT, random),
				rectangular(volume.tri / 2, COUNT, random),
				normalDraws({ value: 0, u: volume.repeat }, COUNT, random),
				rectangular(volume.temp_rect, COUNT, random),
			],
			(m, p, a, b, repeat, temperature) => (1000 * m * p) / (volume.value + a + b + repeat + temperature),
		);
		near(meanOf(concentration), expected.c, tolerance.c);
		// beside the printed rounding, three standard deviations of a standard deviation from so many draws
		near(standardDeviationOf(concentration), expected.u, tolerance.u + (3 * expected.u) / Math.sqrt(2 * COUNT));
	});

	test('half-widths become standard uncertainties', () => {
		const { inputs, expected } = references.typeB;
		const random = seededRandom(20, 'type B');
		near(standardDeviationOf(rectangular(inputs.a, COUNT, random)), expected.rect, 0.001);
		const step = rectangularDraws(-inputs.d / 2, inputs.d / 2, COUNT, random);
		near(standardDeviationOf(step), expected.resolution, 0.0001);
	});
});

describe('draws of masses and shares', () => {
	test('a small uncertain mass is never negative and keeps its mean and spread', () => {
		const draws = positiveDraws({ value: 0.05, u: 0.03 }, COUNT, seededRandom(20, 'small mass'));
		expect(Math.min(...draws.subarray(0, 100_000))).toBeGreaterThanOrEqual(0);
		near(meanOf(draws), 0.05, 0.0002);
		near(standardDeviationOf(draws), 0.03, 0.0003);
	});

	test("a laboratory's lean grade stays between 0 and 1 and keeps its mean and spread", () => {
		const draws = shareDraws({ value: 0.01, u: 0.008 }, COUNT, seededRandom(20, 'lean'));
		expect(draws.every((share) => share >= 0 && share <= 1)).toBe(true);
		near(meanOf(draws), 0.01, 0.0001);
		near(standardDeviationOf(draws), 0.008, 0.0001);
	});

	test('a share of which next to nothing is known lies at one end or the other, and is a number', () => {
		const draws = shareDraws({ value: 0.3, u: 0.458257 }, 20_000, seededRandom(20, 'unknown'));
		expect(draws.every((share) => share >= 0 && share <= 1)).toBe(true);
		near(meanOf(draws), 0.3, 0.01);
		near(standardDeviationOf(draws), 0.458257, 0.01);
	});

	test('what was measured as nothing, or as all, lies inside of that by what its uncertainty leaves open', () => {
		const rootMeanSquare = (values: Float64Array) => Math.sqrt(values.reduce((sum, one) => sum + one ** 2, 0) / COUNT);
		for (const draw of [positiveDraws, shareDraws]) {
			const none = draw({ value: 0, u: 0.02 }, COUNT, seededRandom(20, 'none'));
			expect(none.every((one) => one >= 0)).toBe(true);
			near(rootMeanSquare(none), 0.02, 0.0002);
		}
		const all = shareDraws({ value: 1, u: 0.02 }, COUNT, seededRandom(20, 'all'));
		expect(all.every((share) => share <= 1)).toBe(true);
		near(rootMeanSquare(all.map((share) => 1 - share)), 0.02, 0.0002);
		const wild = shareDraws({ value: 0, u: 0.8 }, COUNT, seededRandom(20, 'wild'));
		expect(wild.every((share) => share >= 0 && share <= 1)).toBe(true);
	});

	test('what is known exactly is not scattered', () => {
		const random = seededRandom(20, 'exact');
		expect(new Set(positiveDraws({ value: 50, u: 0 }, 10, random))).toEqual(new Set([50]));
		expect(new Set(shareDraws({ value: 1, u: 0 }, 10, random))).toEqual(new Set([1]));
	});

	test('impossible masses and shares are refused', () => {
		const random = seededRandom(20, 'bad');
		expect(() => positiveDraws({ value: -1, u: 0.1 }, 10, random)).toThrow(RangeError);
		expect(() => shareDraws({ value: 1.2, u: 0.1 }, 10, random)).toThrow(RangeError);
		expect(() => shareDraws({ value: 0.5, u: 0.6 }, 10, random)).toThrow(RangeError);
	});
});

describe('seeds', () => {
	test('the same seed and purpose give the same numbers, another purpose others', () => {
		const ten = (random: Random) => Array.from({ length: 10 }, () => random.uniform());
		expect(ten(seededRandom(20, 'mass', 'run 1'))).toEqual(ten(seededRandom(20, 'mass', 'run 1')));
		expect(ten(seededRandom(20, 'mass', 'run 1'))).not.toEqual(ten(seededRandom(20, 'mass', 'run 2')));
		expect(ten(seededRandom(20, 'ab', 'c'))).not.toEqual(ten(seededRandom(20, 'a', 'bc')));
	});

	test('numbers of different purposes are not correlated', () => {
		const series = ['a', 'b', 'c', 'd'].map((purpose) =>
			normalDraws({ value: 0, u: 1 }, 100_000, seededRandom(1, purpose)),
		);
		for (const [i, one] of series.entries()) {
			// five standard deviations of a sample correlation
			for (const other of series.slice(i + 1)) near(covarianceOf(one, other), 0, 5 / Math.sqrt(100_000));
		}
	});

	test('a seed that is not a whole number is refused', () => {
		expect(() => seededRandom(0.5)).toThrow(RangeError);
	});

	test('inputs of different lengths are not propagated', () => {
		expect(() => propagate([[1, 2], [1]], (a, b) => a + b)).toThrow(RangeError);
	});
});

/** Normal draws of the means of simultaneous readings, with the readings' own correlations (Cholesky factor). */
function correlatedNormals(series: readonly (readonly number[])[], count: number, random: Random): Float64Array[] {
	const n = series[0]!.length;
	const size = series.length;
	const factor = series.map(() => series.map(() => 0));
	for (let i = 0; i < size; i++) {
		for (let j = 0; j <= i; j++) {
			let rest = covarianceOf(series[i]!, series[j]!) / n;
			for (let k = 0; k < j; k++) rest -= factor[i]![k]! * factor[j]![k]!;
			factor[i]![j] = i === j ? Math.sqrt(rest) : rest / factor[j]![j]!;
		}
	}
	const draws = series.map(() => new Float64Array(count));
	for (let index = 0; index < count; index++) {
		const z = series.map(() => random.normal());
		for (const [i, row] of factor.entries()) {
			draws[i]![index] = meanOf(series[i]!) + row.reduce((sum, weight, k) => sum + weight * z[k]!, 0);
		}
	}
	return draws;
}
