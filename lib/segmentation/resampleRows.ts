/** A picture of three linear channels, read pixel by pixel. */
export interface Source {
  readonly width: number;
  readonly height: number;
  /** Write the three channels of pixel `i` (row-major) into `rgb` from `at` on. */
  readonly read: (i: number, rgb: Float32Array, at: number) => void;
}

/** Which part of the source at which size: rows `first` on of a picture of `rows` x `columns`, padded at right and bottom. */
export interface Target {
  readonly columns: number;
  readonly rows: number;
  readonly first: number;
  /** Size of the result; what lies beyond `columns` and `rows` repeats the last column and row. */
  readonly width: number;
  readonly height: number;
}

/**
 * Bring rows of a picture to another size in linear light: a tent over two target pixels when shrinking (so that light is
 * averaged, not picked), straight-line interpolation when enlarging.
 *
 * @returns height x width x 3
 */
export function resampleRows(source: Source, target: Target): Float32Array {
  const out = new Float32Array(target.width * target.height * 3);
  const across = tents(source.width, target.columns);
  const down = tents(source.height, target.rows);
  const line = new Float32Array(source.width * 3);
  const kept = new Map<number, Float32Array>();
  for (let row = 0; row < target.height; row++) {
    const tent = down[Math.min(target.rows - 1, target.first + row)]!;
    for (const y of kept.keys()) if (y < tent.from) kept.delete(y);
    const into = out.subarray(row * target.width * 3, (row + 1) * target.width * 3);
    for (const [k, weight] of tent.weights.entries()) {
      const narrow = narrowed(source, tent.from + k, across, line, kept);
      for (let i = 0; i < narrow.length; i++) into[i]! += weight * narrow[i]!;
    }
    for (let i = target.columns * 3; i < into.length; i++) into[i] = into[i - 3]!;
  }
  return out;
}

/** One source row at the target's width, kept while later target rows may need it. */
function narrowed(
  source: Source,
  y: number,
  across: readonly Tent[],
  line: Float32Array,
  kept: Map<number, Float32Array>,
): Float32Array {
  const known = kept.get(y);
  if (known !== undefined) return known;
  // Hot loop.
  for (let x = 0; x < source.width; x++) source.read(y * source.width + x, line, 3 * x);
  const narrow = new Float32Array(across.length * 3);
  for (let column = 0; column < across.length; column++) {
    const { from, weights } = across[column]!;
    for (let k = 0; k < weights.length; k++) {
      const weight = weights[k]!;
      const at = 3 * (from + k);
      narrow[3 * column]! += weight * line[at]!;
      narrow[3 * column + 1]! += weight * line[at + 1]!;
      narrow[3 * column + 2]! += weight * line[at + 2]!;
    }
  }
  kept.set(y, narrow);
  return narrow;
}

/** Weights of the source pixels, `from` on, that make one target pixel; they sum to 1. */
interface Tent {
  readonly from: number;
  readonly weights: Float64Array;
}

function tents(size: number, count: number): Tent[] {
  const step = size / count;
  const reach = Math.max(1, step);
  return Array.from({ length: count }, (_, k) => {
    const centre = (k + 0.5) * step - 0.5;
    const from = Math.max(0, Math.ceil(centre - reach));
    const to = Math.min(size - 1, Math.floor(centre + reach));
    const raw = Float64Array.from({ length: to - from + 1 }, (_unused, i) => 1 - Math.abs(from + i - centre) / reach);
    const sum = raw.reduce((total, weight) => total + weight, 0);
    return sum > 0
      ? { from, weights: raw.map((weight) => weight / sum) }
      : { from: Math.min(size - 1, Math.max(0, Math.round(centre))), weights: Float64Array.of(1) };
  });
}
