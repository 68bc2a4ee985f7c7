/**
 * Exact Euclidean distance, in pixels, from the centre of each labelled pixel to the nearest pixel centre with another
 * label; 0 where the label is 0. Pieces of different classes that touch therefore keep their own widths, in one pass.
 *
 * The picture's border is not an edge: a piece cut by the border keeps the width it would have beyond it. A label that
 * fills the whole picture has no other label to be near and gets Infinity.
 *
 * @param labels - one label a pixel, height x width, row-major
 * @returns height x width
 * @source P. Felzenszwalb, D. Huttenlocher, Distance Transforms of Sampled Functions, Theory of Computing 8 (2012) 415;
 *   runs of one label treated apart, as a run's neighbours are its nearest other labels
 */
export function distanceToOtherLabel(labels: Uint8Array, width: number, height: number): Float32Array {
  if (labels.length !== width * height) {
    throw new RangeError(`labels: ${width} x ${height} pixels expected, got ${labels.length}`);
  }
  const alongColumn = distanceAlongColumns(labels, width, height);
  const out = new Float32Array(width * height);
  const envelope = new Envelope(width + 2);
  for (let row = 0; row < height; row++) {
    const base = row * width;
    let start = 0;
    while (start < width) {
      const label = labels[base + start]!;
      let end = start + 1;
      while (end < width && labels[base + end] === label) end++;
      if (label !== 0) fillRun(out, alongColumn, base, start, end, width, envelope);
      start = end;
    }
  }
  return out;
}

const FAR = 0xffff;

/** Distance up or down to the nearest other label, row-major, for labelled pixels; capped at FAR where the column has none. */
function distanceAlongColumns(labels: Uint8Array, width: number, height: number): Uint16Array {
  // Hot loop: two sweeps over whole rows, so that memory is read in order.
  const out = new Uint16Array(width * height);
  out.fill(FAR, 0, width);
  for (let i = width; i < out.length; i++) {
    const label = labels[i]!;
    if (label === 0) continue;
    const above = out[i - width]!;
    out[i] = label !== labels[i - width] ? 1 : above < FAR ? above + 1 : FAR;
  }
  for (let i = out.length - width - 1; i >= 0; i--) {
    const label = labels[i]!;
    if (label === 0) continue;
    const below = label !== labels[i + width] ? 1 : out[i + width]! + 1;
    if (below < out[i]!) out[i] = below;
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

/** Distances of one run of one label, columns `start` to `end` (not included). */
function fillRun(
  out: Float32Array,
  alongColumn: Uint16Array,
  base: number,
  start: number,
  end: number,
  width: number,
  envelope: Envelope,
): void {
  envelope.count = 0;
  if (start > 0) envelope.add(start - 1, 0);
  for (let column = start; column < end; column++) {
    const d = alongColumn[base + column]!;
    if (d < FAR) envelope.add(column, d * d);
  }
  if (end < width) envelope.add(end, 0);
  if (envelope.count === 0) {
    out.fill(Number.POSITIVE_INFINITY, base + start, base + end);
    return;
  }
  let k = 0;
  for (let column = start; column < end; column++) {
    while (k + 1 < envelope.count && envelope.from[k + 1]! <= column) k++;
    const d = column - envelope.apex[k]!;
    out[base + column] = Math.sqrt(d * d + envelope.height[k]!);
  }
}
