/**
 * True area shares from the shares as called, given how often each true class is called another.
 *
 * Maximises the likelihood of the called shares by expectation and maximisation, starting from the called shares, so the
 * answer never leaves the simplex: no negative areas, the shares sum to one. A class that was never called stays nought.
 * Few iterations keep it from chasing classes that the method can hardly tell apart; the plain inverse would.
 *
 * @param called - shares as called, length n, sum 1
 * @param rates - row-major n x n, `rates[k * n + j]` the share of true class k called j; rows sum to one
 * @param into - receives the n true shares
 * @source Richardson 1972 and Lucy 1974; D'Agostini, Nucl. Instrum. Meth. A 362 (1995) 487 (all from memory)
 */
export function unfold(called: ArrayLike<number>, rates: Float64Array, into: Float64Array, iterations = 12): void {
  const n = called.length;
  for (let k = 0; k < n; k++) into[k] = called[k]!;
  const next = new Float64Array(n);
  for (let round = 0; round < iterations; round++) {
    next.fill(0);
    for (let j = 0; j < n; j++) {
      let expected = 0;
      for (let k = 0; k < n; k++) expected += rates[k * n + j]! * into[k]!;
      if (expected <= 0) continue;
      const weight = called[j]! / expected;
      for (let k = 0; k < n; k++) next[k] = next[k]! + into[k]! * rates[k * n + j]! * weight;
    }
    let sum = 0;
    for (let k = 0; k < n; k++) sum += next[k]!;
    for (let k = 0; k < n; k++) into[k] = sum > 0 ? next[k]! / sum : called[k]!;
  }
}
