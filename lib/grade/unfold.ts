/**
 * True area shares from the shares as called, given how often each true class is called another.
 *
 * Maximises the likelihood of the called shares by expectation and maximisation, starting from the called shares, so the
 * answer never leaves the simplex: no negative areas, the shares sum to one. A class that was never called stays nought.
 * Few iterations keep it from chasing classes that the method can hardly tell apart; the plain inverse would.
 *
 * The innermost loop of every interval, so it allocates nothing: `into` and `weights` are the caller's.
 *
 * @param called - shares as called, length n, sum 1
 * @param rates - row-major n x n from `offset` on, `rates[offset + k * n + j]` the share of true class k called j; rows sum to one
 * @param into - receives the n true shares
 * @param weights - room for n numbers
 * @source Richardson 1972 and Lucy 1974; D'Agostini, Nucl. Instrum. Meth. A 362 (1995) 487 (all from memory)
 */
export function unfold(
  called: Float64Array,
  rates: Float64Array,
  into: Float64Array,
  {
    iterations = 12,
    offset = 0,
    weights = new Float64Array(called.length),
  }: { readonly iterations?: number; readonly offset?: number; readonly weights?: Float64Array } = {},
): void {
  const n = called.length;
  let all = 0;
  for (let k = 0; k < n; k++) {
    into[k] = called[k]!;
    all += called[k]!;
  }
  for (let round = 0; round < iterations; round++) {
    for (let j = 0; j < n; j++) {
      let expected = 0;
      for (let k = 0, at = offset + j; k < n; k++, at += n) expected += rates[at]! * into[k]!;
      weights[j] = expected > 0 ? called[j]! / expected : 0;
    }
    for (let k = 0, at = offset; k < n; k++) {
      let share = 0;
      for (let j = 0; j < n; j++, at++) share += rates[at]! * weights[j]!;
      into[k] = into[k]! * share;
    }
  }
  let sum = 0;
  for (let k = 0; k < n; k++) sum += into[k]!;
  for (let k = 0; k < n; k++) into[k] = sum > 0 ? into[k]! / sum : called[k]! / Math.max(all, 1e-300);
}
