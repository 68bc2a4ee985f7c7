import fc from 'fast-check';
import { expect, test } from 'vitest';
import { unfolderOf } from '@/lib/grade/unfold';

/** Called shares of true shares under a table of rates. */
function called(truth: readonly number[], rates: Float64Array): number[] {
  const n = truth.length;
  return truth.map((_, j) => truth.reduce((sum, share, k) => sum + share * rates[k * n + j]!, 0));
}

test('a herd of 150 with 45 positive at sensitivity 0.96 and specificity 0.89 has a true share of 22.4 %', () => {
  // Rogan and Gladen, Am. J. Epidemiol. 107 (1978) 71; worked herd example: (0.30 + 0.89 - 1) / (0.96 + 0.89 - 1)
  const rates = Float64Array.of(0.96, 0.04, 0.11, 0.89);
  const truth = new Float64Array(2);
  unfolderOf(2, 2000)(Float64Array.of(0.3, 0.7), rates, 0, truth);
  expect(truth[0]).toBeCloseTo(0.19 / 0.85, 6);
});

test('an apparent share under the false-positive rate unfolds to nothing, not to a negative share', () => {
  // Rogan-Gladen gives (6/151 + 0.927 - 1) / (0.964 + 0.927 - 1) = -0.037 here; on the simplex the answer is 0
  const truth = new Float64Array(2);
  unfolderOf(2, 4000)(Float64Array.of(6 / 151, 145 / 151), Float64Array.of(0.964, 0.036, 0.073, 0.927), 0, truth);
  expect(truth[0]).toBeGreaterThanOrEqual(0);
  expect(truth[0]).toBeLessThan(1e-3);
});

test('three classes folded by known rates unfold back', () => {
  const rates = Float64Array.of(0.9, 0.06, 0.04, 0.1, 0.8, 0.1, 0.01, 0.04, 0.95);
  const truth = [0.2, 0.1, 0.7];
  const found = new Float64Array(3);
  unfolderOf(3, 5000)(Float64Array.from(called(truth, rates)), rates, 0, found);
  truth.forEach((share, k) => {
    expect(found[k]).toBeCloseTo(share, 5);
  });
});

test('unfolded shares stay on the simplex whatever the rates', () => {
  const share = fc.array(fc.double({ min: 0.001, max: 1, noNaN: true }), { minLength: 4, maxLength: 4 });
  fc.assert(
    fc.property(share, fc.array(share, { minLength: 4, maxLength: 4 }), (q, rows) => {
      const total = q.reduce((sum, value) => sum + value, 0);
      const rates = Float64Array.from(
        rows.flatMap((row) => row.map((value) => value / row.reduce((a, b) => a + b, 0))),
      );
      const found = new Float64Array(4);
      unfolderOf(4)(
        Float64Array.from(q, (value) => value / total),
        rates,
        0,
        found,
      );
      expect(found.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 9);
      expect(Math.min(...found)).toBeGreaterThanOrEqual(0);
    }),
  );
});
