/** Rounds after which another changes shares by less than a thousandth of themselves at error rates of a tenth. */
const ROUNDS = 4;

/**
 * True area shares from the shares as called: false calls taken off, missed pieces put back.
 *
 * `(called - false) / (1 - missed)` per class, the false calls reckoned from the true shares of the round before: a few
 * rounds give the inverse of the error table (Gauss and Seidel), but never a negative share: where the drawn rates explain more
 * calls than there are, all of them are false in that world.
 *
 * @param called - shares of the field as called, bare surface first
 * @param rates - row-major square tables, `rates[offset + k * n + j]` the share of true class k called j
 * @param into - receives the true shares; bare surface is what is left
 * @source Rogan and Gladen, Am. J. Epidemiol. 107 (1978) 71, for two classes
 */
export function takeOffFalseCalls(called: Float64Array, rates: Float64Array, offset: number, into: Float64Array): void {
  const n = called.length;
  for (let k = 0; k < n; k++) into[k] = called[k]!;
  for (let round = 0; round < ROUNDS; round++) {
    let pieces = 0;
    for (let j = 1; j < n; j++) {
      let wrong = 0;
      for (let k = 0, at = offset + j; k < n; k++, at += n) if (k !== j) wrong += into[k]! * rates[at]!;
      const share = Math.max(0, called[j]! - wrong) / rates[offset + j * n + j]!;
      into[j] = share;
      pieces += share;
    }
    into[0] = Math.max(0, 1 - pieces);
  }
}
