/** Smallest pivot at which two classes still count as told apart. */
const SMALLEST_PIVOT = 0.02;

/** Unfolds shares of one number of classes; keeps its working room, since this is the innermost loop of every interval. */
export type Unfolder = (called: Float64Array, rates: Float64Array, offset: number, into: Float64Array) => void;

/**
 * True area shares from the shares as called, given how often each true class is called another.
 *
 * Maximises the likelihood of the called shares by expectation and maximisation, starting from the called shares, so the
 * answer never leaves the simplex: no negative areas, the shares sum to one. A class that was never called stays nought.
 * Few iterations keep it from chasing classes that the method can hardly tell apart, as the plain inverse would. They come
 * down to nought too slowly, though, where a class is all false calls: so a class that the plain inverse makes negative
 * starts at nought. Without that, made-up tailings kept a twelfth of their false copper in every draw.
 *
 * @param n - classes; the unfolder takes `called`, n shares that sum to 1; `rates`, row-major n x n from `offset` on,
 *   `rates[offset + k * n + j]` the share of true class k called j, rows sum to one; and fills `into` with n true shares
 * @source Richardson 1972 and Lucy 1974; D'Agostini, Nucl. Instrum. Meth. A 362 (1995) 487 (all from memory)
 */
export function unfolderOf(n: number, iterations = 12): Unfolder {
  const weights = new Float64Array(n);
  const inverse = inverterOf(n);
  return (called, rates, offset, into) => {
    inverse(called, rates, offset, into);
    for (let k = 0; k < n; k++) into[k] = into[k]! > 0 ? called[k]! : 0;
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
    for (let k = 0; k < n; k++) into[k] = sum > 0 ? into[k]! / sum : called[k]!;
  };
}

/** Solves rates^T x = called by Gaussian elimination; gives the called shares back where classes can't be told apart. */
function inverterOf(n: number): Unfolder {
  const matrix = new Float64Array(n * n);
  return (called, rates, offset, into) => {
    for (let j = 0; j < n; j++) {
      into[j] = called[j]!;
      for (let k = 0; k < n; k++) matrix[j * n + k] = rates[offset + k * n + j]!;
    }
    for (let p = 0; p < n; p++) {
      // rates are largest on the diagonal wherever a method is of any use, so no rows are exchanged
      const pivot = matrix[p * n + p]!;
      if (pivot < SMALLEST_PIVOT) {
        into.set(called);
        return;
      }
      for (let row = p + 1; row < n; row++) {
        const factor = matrix[row * n + p]! / pivot;
        for (let k = p + 1; k < n; k++) matrix[row * n + k] = matrix[row * n + k]! - factor * matrix[p * n + k]!;
        into[row] = into[row]! - factor * into[p]!;
      }
    }
    for (let p = n - 1; p >= 0; p--) {
      let rest = into[p]!;
      for (let k = p + 1; k < n; k++) rest -= matrix[p * n + k]! * into[k]!;
      into[p] = rest / matrix[p * n + p]!;
    }
  };
}
