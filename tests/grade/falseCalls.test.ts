import fc from 'fast-check';
import { expect, test } from 'vitest';
import { takeOffFalseCalls } from '@/lib/grade/falseCalls';
import reference from '../reference/classifier.json';

/** Bare surface that is never mistaken, and two classes with the given rates. */
function twoClasses(sensitivity: number, specificity: number): Float64Array {
	return Float64Array.of(1, 0, 0, 0, sensitivity, 1 - sensitivity, 0, 1 - specificity, specificity);
}

test('a herd of 150 with 45 positive at sensitivity 0.96 and specificity 0.89 has a true share of 22.4 %', () => {
	// Rogan and Gladen, Am. J. Epidemiol. 107 (1978) 71: (0.30 + 0.89 - 1) / (0.96 + 0.89 - 1)
	const truth = new Float64Array(3);
	takeOffFalseCalls(Float64Array.of(0, 0.3, 0.7), twoClasses(0.96, 0.89), 0, truth, undefined);
	expect(truth[1]).toBeCloseTo(0.19 / 0.85, 4);
});

test('an apparent share under the false-positive rate leaves nothing, not a negative share', () => {
	// Rogan-Gladen gives (6/151 + 0.927 - 1) / (0.964 + 0.927 - 1) = -0.037 here
	const truth = new Float64Array(3);
	takeOffFalseCalls(Float64Array.of(0, 6 / 151, 145 / 151), twoClasses(0.964, 0.927), 0, truth, undefined);
	expect(truth[1]).toBe(0);
});

test('shares folded by known rates come back, the second table of several too', () => {
	const rates = Float64Array.of(0.99, 0.006, 0.004, 0.02, 0.9, 0.08, 0.01, 0.04, 0.95);
	const shares = [0.6, 0.15, 0.25];
	const called = Float64Array.from(shares, (_, j) =>
		shares.reduce((sum, share, k) => sum + share * rates[3 * k + j]!, 0),
	);
	const truth = new Float64Array(3);
	takeOffFalseCalls(called, Float64Array.of(...new Array(9).fill(1), ...rates), 9, truth, undefined);
	shares.forEach((share, k) => {
		expect(truth[k]).toBeCloseTo(share, 4);
	});
});

test.each([
	['three classes, 2013', reference['i.olofsson2013'].inputs, [22353, 1122543, 610228], [45112.4 / 1755124]],
	[
		'four classes, 2014',
		reference['i.olofsson2014'].inputs,
		reference['i.olofsson2014'].inputs.map_pixels,
		reference['i.olofsson2014'].expected.area_share,
	],
] as const)('mapped areas come out as the published error-adjusted areas: %s', (_, inputs, mapped, expected) => {
	const matrix = inputs.rows_map_cols_reference;
	const n = matrix.length;
	const all = mapped.reduce((sum, area) => sum + area, 0);
	// reference class k in map class i, as a share of all: the map's share times what the checked points of that class showed
	const joint = matrix.map((row, i) =>
		row.map((count) => ((mapped[i]! / all) * count) / row.reduce((sum, one) => sum + one, 0)),
	);
	// the rates at which a true class is mapped as another: rows true class, largest class first, since it is what is left over
	const order = Array.from({ length: n }, (_, k) => k).sort((a, b) => mapped[b]! - mapped[a]!);
	const truthOf = (k: number) => joint.reduce((sum, row) => sum + row[k]!, 0);
	const rates = Float64Array.from(order.flatMap((k) => order.map((i) => joint[i]![k]! / truthOf(k))));
	const truth = new Float64Array(n);
	takeOffFalseCalls(
		Float64Array.from(order, (i) => mapped[i]! / all),
		rates,
		0,
		truth,
		undefined,
	);
	expected.forEach((share, k) => {
		// four rounds leave a few thousandths of a share
		expect(Math.abs(truth[order.indexOf(k)]! - share)).toBeLessThan(0.004 * share + 0.0005);
	});
});

test('no share is ever negative, whatever the calls and the rates', () => {
	const share = fc.double({ min: 0, max: 1, noNaN: true });
	fc.assert(
		fc.property(
			share,
			share,
			fc.double({ min: 0.05, max: 1, noNaN: true }),
			fc.double({ min: 0.05, max: 1, noNaN: true }),
			(a, b, se, sp) => {
				const truth = new Float64Array(3);
				takeOffFalseCalls(Float64Array.of(1, a, b), twoClasses(se, sp), 0, truth, undefined);
				expect(Math.min(...truth)).toBeGreaterThanOrEqual(0);
			},
		),
	);
});

const MEASURED = Uint8Array.of(0, 1, 1);
const HALF_MEASURED = Uint8Array.of(0, 0, 1);

test('with the area gain measured, a class that is plainly there keeps its calls and one that a blank could show loses them', () => {
	const rates = twoClasses(0.96, 0.99);
	const truth = new Float64Array(3);
	takeOffFalseCalls(Float64Array.of(0, 0.3, 0.7), rates, 0, truth, MEASURED);
	expect(truth[1]).toBeGreaterThan(0.299);
	takeOffFalseCalls(Float64Array.of(0, 0.005, 0.995), rates, 0, truth, MEASURED);
	expect(truth[1]).toBe(0);
});

test('a class whose area gain was not measured loses all calls that could be others, and no more', () => {
	const rates = twoClasses(0.96, 0.99);
	const truth = new Float64Array(3);
	takeOffFalseCalls(Float64Array.of(0, 0.02, 0.98), rates, 0, truth, HALF_MEASURED);
	// a hundredth of the other class, of which a hundredth of 4 % of its own lie again elsewhere
	expect(truth[1]).toBeCloseTo(0.02 - 0.01 * 0.98, 3);
	takeOffFalseCalls(Float64Array.of(0, 0.005, 0.995), rates, 0, truth, HALF_MEASURED);
	expect(truth[1]).toBe(0);
});

/** Bare surface, bright copper, tinned copper and a third class, a share of which is called bright and tinned. */
function threeClasses(asBright: number, asTinned: number): Float64Array {
	return Float64Array.of(1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, asBright, asTinned, 1 - asBright - asTinned);
}

test('copper is nothing where all of its calls are explained, though one class has more calls than are', () => {
	const truth = new Float64Array(4);
	// 0.4 % of the third class explain 0.0036 of each; together 0.0072 of the 0.006 that were called
	takeOffFalseCalls(Float64Array.of(0, 0.005, 0.001, 0.9), threeClasses(0.004, 0.004), 0, truth, undefined);
	expect(truth[1]! + truth[2]!).toBe(0);
});

test('what one copper class has too few calls of takes hardly anything from copper that is plainly there', () => {
	const truth = new Float64Array(4);
	takeOffFalseCalls(Float64Array.of(0, 0.3, 0, 0.6), threeClasses(0.004, 0.004), 0, truth, undefined);
	expect(truth[1]! + truth[2]!).toBeCloseTo(0.3 - 0.004 * 0.6, 3);
});
