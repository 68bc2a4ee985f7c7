/** Connected pieces of a label picture. */
export interface Regions {
  readonly count: number;
  /** Region number of each pixel, 1 to `count`, numbered by first pixel in reading order; 0 outside. Height x width. */
  readonly ids: Int32Array;
}

/**
 * Join neighbouring pixels into regions.
 *
 * Thin strands run diagonally, so pixels that touch by a corner belong together unless told otherwise.
 *
 * @param labels - one label a pixel, height x width, row-major; 0 belongs to no region
 * @param join - `sameLabel`: only equal labels hold together; `anyLabel`: everything that is not 0 does
 * @param neighbours - 8 or 4
 * @source A. Rosenfeld, J. Pfaltz, Sequential operations in digital picture processing, J. ACM 13 (1966) 471 (two passes);
 *   done on runs of pixels with a union-find forest
 */
export function labelRegions(
  labels: Uint8Array,
  width: number,
  height: number,
  join: 'sameLabel' | 'anyLabel' = 'sameLabel',
  neighbours: 4 | 8 = 8,
): Regions {
  if (labels.length !== width * height) {
    throw new RangeError(`labels: ${width} x ${height} pixels expected, got ${labels.length}`);
  }
  const runs = findRuns(labels, width, height, join);
  const parent = joinRuns(runs, height, neighbours === 8 ? 1 : 0);
  // A root is the smallest run of its region and runs are in reading order: numbering roots as they come is by first pixel.
  const ids = new Int32Array(labels.length);
  const number = new Int32Array(runs.count);
  let count = 0;
  for (let run = 0; run < runs.count; run++) {
    const root = find(parent, run);
    if (root === run) number[run] = ++count;
    const id = number[root]!;
    const end = runs.end[run]!;
    for (let i = runs.start[run]!; i < end; i++) ids[i] = id;
  }
  return { count, ids };
}

/** Runs of pixels that hold together along a row, in reading order; `start` and `end` are positions in the picture. */
interface Runs {
  readonly count: number;
  readonly start: Int32Array;
  readonly end: Int32Array;
  readonly label: Uint8Array;
  /** First run of each row; one more entry than rows. */
  readonly firstOfRow: Int32Array;
  readonly width: number;
}

function findRuns(labels: Uint8Array, width: number, height: number, join: 'sameLabel' | 'anyLabel'): Runs {
  // Hot loops: count first, so that the arrays are as long as needed and no longer.
  const any = join === 'anyLabel';
  let count = 0;
  for (let row = 0; row < height; row++) {
    let last = 0;
    for (let at = row * width; at < (row + 1) * width; at++) {
      const label = any && labels[at] !== 0 ? 1 : labels[at]!;
      if (label !== last && label !== 0) count++;
      last = label;
    }
  }
  const start = new Int32Array(count);
  const end = new Int32Array(count);
  const label = new Uint8Array(count);
  const firstOfRow = new Int32Array(height + 1);
  let run = 0;
  for (let row = 0; row < height; row++) {
    firstOfRow[row] = run;
    const stop = (row + 1) * width;
    let last = 0;
    for (let at = row * width; at < stop; at++) {
      const here = any && labels[at] !== 0 ? 1 : labels[at]!;
      if (here === last) continue;
      if (last !== 0) end[run++] = at;
      if (here !== 0) {
        start[run] = at;
        label[run] = here;
      }
      last = here;
    }
    if (last !== 0) end[run++] = stop;
  }
  firstOfRow[height] = run;
  return { count, start, end, label, firstOfRow, width };
}

/** Forest in which runs that touch the row above share a root; `reach` is 1 where corners count as touching. */
function joinRuns(runs: Runs, height: number, reach: number): Int32Array {
  const { start, end, label, firstOfRow, width } = runs;
  const parent = new Int32Array(runs.count);
  for (let run = 0; run < runs.count; run++) parent[run] = run;
  for (let row = 1; row < height; row++) {
    let above = firstOfRow[row - 1]!;
    const aboveEnd = firstOfRow[row]!;
    for (let run = aboveEnd; run < firstOfRow[row + 1]!; run++) {
      const from = start[run]! - width - reach;
      const to = end[run]! - width + reach;
      while (above < aboveEnd && end[above]! <= from) above++;
      for (let k = above; k < aboveEnd && start[k]! < to; k++) {
        if (label[k] === label[run]) union(parent, k, run);
      }
    }
  }
  return parent;
}

function find(parent: Int32Array, run: number): number {
  let at = run;
  while (parent[at] !== at) {
    parent[at] = parent[parent[at]!]!;
    at = parent[at]!;
  }
  return at;
}

function union(parent: Int32Array, a: number, b: number): void {
  const rootA = find(parent, a);
  const rootB = find(parent, b);
  if (rootA < rootB) parent[rootB] = rootA;
  else parent[rootA] = rootB;
}
