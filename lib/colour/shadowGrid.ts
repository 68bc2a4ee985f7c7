import { CholeskyDecomposition, Matrix } from 'ml-matrix';

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
  const unknowns = empty.columns * empty.rows;
  const left2 = Matrix.zeros(unknowns, unknowns);
  const right2 = Matrix.zeros(unknowns, 1);
  for (const spot of spots) {
    const { column, row, fx, fy } = cellOf(empty, spot.xMm, spot.yMm);
    const at = row * empty.columns + column;
    const knots = [at, at + 1, at + empty.columns, at + empty.columns + 1];
    const weights = [(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy];
    addSquare(left2, knots, weights, 1);
    knots.forEach((k, i) => {
      right2.set(k, 0, right2.get(k, 0) + weights[i]! * spot.value);
    });
  }
  for (let row = 0; row < empty.rows; row++) {
    for (let column = 0; column < empty.columns; column++) {
      const at = row * empty.columns + column;
      if (column > 0 && column < empty.columns - 1) addSquare(left2, [at - 1, at, at + 1], [1, -2, 1], STIFFNESS);
      if (row > 0 && row < empty.rows - 1) {
        addSquare(left2, [at - empty.columns, at, at + empty.columns], [1, -2, 1], STIFFNESS);
      }
      left2.set(at, at, left2.get(at, at) + 1e-3); // towards the low-order surface where nothing is known
    }
  }
  return { ...empty, log: new CholeskyDecomposition(left2).solve(right2).to1DArray() };
}

function addSquare(matrix: Matrix, at: readonly number[], weights: readonly number[], times: number): void {
  for (let i = 0; i < at.length; i++) {
    for (let j = 0; j < at.length; j++) {
      matrix.set(at[i]!, at[j]!, matrix.get(at[i]!, at[j]!) + times * weights[i]! * weights[j]!);
    }
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
