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
    ids.fill(number[root]!, runs.start[run]!, runs.end[run]!);
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
  const scan = (
    visit: ((start: number, end: number, label: number) => void) | undefined,
    rows?: Int32Array,
  ): number => {
    let count = 0;
    for (let row = 0; row < height; row++) {
      if (rows) rows[row] = count;
      const stop = (row + 1) * width;
      let at = row * width;
      while (at < stop) {
        const label = labels[at]!;
        let end = at + 1;
        if (label === 0) while (end < stop && labels[end] === 0) end++;
        else {
          while (end < stop && (any ? labels[end] !== 0 : labels[end] === label)) end++;
          visit?.(at, end, any ? 1 : label);
          count++;
        }
        at = end;
      }
    }
    if (rows) rows[height] = count;
    return count;
  };
  const count = scan(undefined);
  const start = new Int32Array(count);
  const end = new Int32Array(count);
  const label = new Uint8Array(count);
  const firstOfRow = new Int32Array(height + 1);
  let run = 0;
  scan((from, to, value) => {
    start[run] = from;
    end[run] = to;
    label[run++] = value;
  }, firstOfRow);
  return { count, start, end, label, firstOfRow, width };
}

/** Forest in which runs that touch the row above share a root; `reach` is 1 where corners count as touching. */
function joinRuns(runs: Runs, height: number, reach: number): Int32Array {
  const { start, end, label, firstOfRow, width } = runs;
  const parent = Int32Array.from({ length: runs.count }, (_, i) => i);
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
