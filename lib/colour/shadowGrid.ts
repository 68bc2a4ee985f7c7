/** A smooth map on square knots, read between them by straight interpolation; values are logarithms. */
export interface ShadowGrid {
  readonly leftMm: number;
  readonly topMm: number;
  readonly pitchMm: number;
  readonly columns: number;
  readonly rows: number;
  /** rows x columns, row-major. */
  readonly log: readonly number[];
}

/** One reading off the grid. */
export interface GridSpot {
  readonly xMm: number;
  readonly yMm: number;
  readonly value: number;
}

/** Knots along the longer side: fine enough for a hand's or a phone's soft shadow edge, some 12 mm on the A5 mat. */
const KNOTS = 18;

/**
 * Pull of the smoothness term, in readings: a knot bent against its neighbours costs as much as this many spots off by as
 * much. Some 25 spots lie around a knot, so bare paper is followed and gaps are bridged. Chosen by eye, bounded by
 * tests/colour/correctLight.test.ts.
 */
const STIFFNESS = 4;

/** Value of the map at a place; the rim is carried outwards. */
export function gridAt(grid: ShadowGrid, xMm: number, yMm: number): number {
  const { column, row, fx, fy } = cellOf(grid, xMm, yMm);
  const at = row * grid.columns + column;
  const { log, columns } = grid;
  return (
    (1 - fy) * ((1 - fx) * log[at]! + fx * log[at + 1]!) +
    fy * ((1 - fx) * log[at + columns]! + fx * log[at + columns + 1]!)
  );
}

/**
 * Penalised least squares: close to the readings, and bent as little as they allow (squared second differences).
 *
 * @source P. Eilers, B. Marx, Flexible smoothing with B-splines and penalties, Statistical Science 11(2), 1996, here with
 *   first-degree splines on a plane (from memory)
 */
export function fitGrid(spots: readonly GridSpot[]): ShadowGrid {
  const xs = spots.map((s) => s.xMm);
  const ys = spots.map((s) => s.yMm);
  const [left, right] = extent(xs);
  const [top, bottom] = extent(ys);
  const pitchMm = Math.max(right - left, bottom - top, 1) / (KNOTS - 1);
  const empty = {
    leftMm: left,
    topMm: top,
    pitchMm,
    columns: Math.max(3, Math.ceil((right - left) / pitchMm) + 1),
    rows: Math.max(3, Math.ceil((bottom - top) / pitchMm) + 1),
    log: [],
  };
  // knots are bound to neighbours at most two rows on
  const system = new BandedSystem(empty.columns * empty.rows, 2 * empty.columns);
  // Hot loop.
  for (const spot of spots) {
    const { column, row, fx, fy } = cellOf(empty, spot.xMm, spot.yMm);
    const at = row * empty.columns + column;
    system.addCell(at, empty.columns, (1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy, spot.value);
  }
  for (let row = 0; row < empty.rows; row++) {
    for (let column = 0; column < empty.columns; column++) {
      const at = row * empty.columns + column;
      if (column > 0 && column < empty.columns - 1) system.addSquare([at - 1, at, at + 1], [1, -2, 1], STIFFNESS);
      if (row > 0 && row < empty.rows - 1) {
        system.addSquare([at - empty.columns, at, at + empty.columns], [1, -2, 1], STIFFNESS);
      }
      system.addSquare([at], [1], 1e-3); // towards the low-order surface where nothing is known
    }
  }
  return { ...empty, log: Array.from(system.solved()) };
}

/**
 * A symmetric positive definite system whose unknowns are bound only to near ones: solving takes size x reach^2 steps, where a
 * full matrix takes size^3.
 *
 * @source Cholesky decomposition within a band: G. Golub, C. Van Loan, Matrix Computations, 4.3 (from memory)
 */
class BandedSystem {
  readonly right: Float64Array;
  /** Lower triangle by rows: entry (i, i - reach + k) at i x (reach + 1) + k. */
  private readonly band: Float64Array;
  constructor(
    private readonly size: number,
    private readonly reach: number,
  ) {
    this.right = new Float64Array(size);
    this.band = new Float64Array(size * (reach + 1));
  }

  addSquare(at: readonly number[], weights: readonly number[], times: number): void {
    for (let i = 0; i < at.length; i++)
      for (let j = 0; j < at.length; j++)
        if (at[j]! <= at[i]!) this.band[this.place(at[i]!, at[j]!)]! += times * weights[i]! * weights[j]!;
  }

  /** The square of a weighted sum of four knots, two and two beside each other, less a value. */
  addCell(at: number, columns: number, a: number, b: number, c: number, d: number, value: number): void {
    const { band, right } = this;
    const below = at + columns;
    band[this.place(at, at)]! += a * a;
    band[this.place(at + 1, at)]! += b * a;
    band[this.place(at + 1, at + 1)]! += b * b;
    band[this.place(below, at)]! += c * a;
    band[this.place(below, at + 1)]! += c * b;
    band[this.place(below, below)]! += c * c;
    band[this.place(below + 1, at)]! += d * a;
    band[this.place(below + 1, at + 1)]! += d * b;
    band[this.place(below + 1, below)]! += d * c;
    band[this.place(below + 1, below + 1)]! += d * d;
    right[at]! += a * value;
    right[at + 1]! += b * value;
    right[below]! += c * value;
    right[below + 1]! += d * value;
  }

  /** Solves in place: the system is used up. */
  solved(): Float64Array {
    const { band, right, size, reach } = this;
    // entry (i, j) of the band stands at rowStart(i) + j
    const rowStart = (i: number) => i * reach + reach;
    for (let i = 0; i < size; i++) {
      const first = Math.max(0, i - reach);
      const own = rowStart(i);
      for (let j = first; j <= i; j++) {
        const other = rowStart(j);
        let sum = band[own + j]!;
        for (let k = Math.max(first, j - reach); k < j; k++) sum -= band[own + k]! * band[other + k]!;
        band[own + j] = j < i ? sum / band[other + j]! : Math.sqrt(sum);
      }
      let sum = right[i]!;
      for (let k = first; k < i; k++) sum -= band[own + k]! * right[k]!;
      right[i] = sum / band[own + i]!;
    }
    for (let i = size - 1; i >= 0; i--) {
      let sum = right[i]!;
      for (let k = i + 1; k <= Math.min(size - 1, i + reach); k++) sum -= band[rowStart(k) + i]! * right[k]!;
      right[i] = sum / band[rowStart(i) + i]!;
    }
    return right;
  }

  private place(i: number, j: number): number {
    return i * (this.reach + 1) + j - i + this.reach;
  }
}

function cellOf(grid: ShadowGrid, xMm: number, yMm: number) {
  const u = Math.min(Math.max((xMm - grid.leftMm) / grid.pitchMm, 0), grid.columns - 1);
  const v = Math.min(Math.max((yMm - grid.topMm) / grid.pitchMm, 0), grid.rows - 1);
  const column = Math.min(Math.floor(u), grid.columns - 2);
  const row = Math.min(Math.floor(v), grid.rows - 2);
  return { column, row, fx: u - column, fy: v - row };
}

function extent(values: readonly number[]): [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const v of values) {
    low = Math.min(low, v);
    high = Math.max(high, v);
  }
  return [low, high];
}
