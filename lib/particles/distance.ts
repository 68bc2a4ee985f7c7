import { type Runs, runsOf } from '../segmentation/labelRuns';

/**
 * Exact Euclidean distance, in pixels, from the centre of each labelled pixel to the nearest pixel centre with another
 * label; 0 where the label is 0. Pieces of different classes that touch therefore keep their own widths, in one pass.
 *
 * The picture's border is not an edge: a piece cut by the border keeps the width it would have beyond it. A label that
 * fills the whole picture has no other label to be near and gets Infinity.
 *
 * @param labels - one label a pixel, height x width, row-major
 * @returns height x width
 */
export function distanceToOtherLabel(labels: Uint8Array, width: number, height: number): Float32Array {
  const runs = runsOf(labels, width, height);
  return spreadOut(distancesOfRuns(runs, labels), runs);
}

/** Where each run's first pixel stands among all labelled pixels in reading order; one more entry than runs. */
export function placesOf({ count, start, end }: Runs): Int32Array {
  const first = new Int32Array(count + 1);
  for (let run = 0; run < count; run++) first[run + 1] = first[run]! + end[run]! - start[run]!;
  return first;
}

/** A number for each labelled pixel, in reading order, as a picture with 0 elsewhere. */
export function spreadOut(values: Float32Array, runs: Runs): Float32Array {
  const out = new Float32Array(runs.width * runs.height);
  const first = placesOf(runs);
  for (let run = 0; run < runs.count; run++) out.set(values.subarray(first[run]!, first[run + 1]!), runs.start[run]!);
  return out;
}

/**
 * The distances of `distanceToOtherLabel`, one a labelled pixel in reading order.
 *
 * @source P. Felzenszwalb, D. Huttenlocher, Distance Transforms of Sampled Functions, Theory of Computing 8 (2012) 415;
 *   runs of one label treated apart, as a run's neighbours are its nearest other labels
 */
export function distancesOfRuns(runs: Runs, labels: Uint8Array): Float32Array {
  const first = placesOf(runs);
  const alongColumn = distanceAlongColumns(runs, labels, first);
  const out = new Float32Array(alongColumn.length);
  const envelope = new Envelope(runs.width + 2);
  for (let run = 0; run < runs.count; run++) fillRun(out, alongColumn, runs, run, first[run]!, envelope);
  return out;
}

const FAR = 0xffff;

/** Distance up or down to the nearest other label; capped at FAR where the column has none. */
function distanceAlongColumns(runs: Runs, labels: Uint8Array, first: Int32Array): Uint16Array {
  // Hot loop: two sweeps, each carrying one row of distances along. What it carries of unlabelled pixels is never asked for.
  const { start, end, label, firstOfRow, width, height } = runs;
  const out = new Uint16Array(first[runs.count]!);
  const carried = new Uint16Array(width);
  for (let row = 0; row < height; row++) {
    const base = row * width;
    for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
      const own = label[run]!;
      let k = first[run]!;
      for (let i = start[run]!; i < end[run]!; i++, k++) {
        let d = FAR;
        if (row > 0) d = labels[i - width] === own ? Math.min(FAR, carried[i - base]! + 1) : 1;
        carried[i - base] = d;
        out[k] = d;
      }
    }
  }
  for (let row = height - 1; row >= 0; row--) {
    const base = row * width;
    for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
      const own = label[run]!;
      let k = first[run]!;
      for (let i = start[run]!; i < end[run]!; i++, k++) {
        let d = out[k]!;
        if (row < height - 1) d = labels[i + width] === own ? Math.min(d, carried[i - base]! + 1) : 1;
        carried[i - base] = d;
        out[k] = d;
      }
    }
  }
  return out;
}

/** Parabolas of the lower envelope: where each has its apex, how high, and from where on it is the lowest. */
class Envelope {
  readonly apex: Float64Array;
  readonly height: Float64Array;
  readonly from: Float64Array;
  count = 0;
  constructor(size: number) {
    this.apex = new Float64Array(size);
    this.height = new Float64Array(size);
    this.from = new Float64Array(size);
  }
  add(apex: number, height: number): void {
    let from = Number.NEGATIVE_INFINITY;
    while (this.count > 0) {
      const k = this.count - 1;
      const other = this.apex[k]!;
      from = (height + apex * apex - (this.height[k]! + other * other)) / (2 * (apex - other));
      if (from > this.from[k]!) break;
      this.count--;
      from = Number.NEGATIVE_INFINITY;
    }
    this.apex[this.count] = apex;
    this.height[this.count] = height;
    this.from[this.count] = from;
    this.count++;
  }
}

/** Distances of one run, whose pixels stand from `at` on. */
function fillRun(
  out: Float32Array,
  alongColumn: Uint16Array,
  { start, end, width }: Runs,
  run: number,
  at: number,
  envelope: Envelope,
): void {
  const column = start[run]! % width;
  const length = end[run]! - start[run]!;
  envelope.count = 0;
  // columns count from the run's first pixel
  if (column > 0) envelope.add(-1, 0);
  for (let k = 0; k < length; k++) {
    const d = alongColumn[at + k]!;
    if (d < FAR) envelope.add(k, d * d);
  }
  if (column + length < width) envelope.add(length, 0);
  if (envelope.count === 0) {
    out.fill(Number.POSITIVE_INFINITY, at, at + length);
    return;
  }
  let lowest = 0;
  for (let k = 0; k < length; k++) {
    while (lowest + 1 < envelope.count && envelope.from[lowest + 1]! <= k) lowest++;
    const d = k - envelope.apex[lowest]!;
    out[at + k] = Math.sqrt(d * d + envelope.height[lowest]!);
  }
}
