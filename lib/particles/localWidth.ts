import { labelRegions, type Regions } from '../segmentation/labelRegions';
import { distanceToOtherLabel } from './distance';

/** Ridge distance, px, up to which a part counts as thin: its width then comes from area over outline. */
const THIN_RIDGE_PX = 3;
/**
 * Steepest climb of the distance map (px a px) at which a pixel still lies on the ridge, between a ridge's 0 and a flank's
 * 1. Low, since the map of a tilted bar climbs in steps; a part that tapers by less counts as having the width it has.
 */
const RIDGE_SLOPE = 0.2;
/**
 * What twice the ridge distance overstates on the mean over drawn bars of all widths and directions: along the axes a bar
 * of odd width w has ridge (w + 1)/2, one of even width w/2.
 */
const RIDGE_EXCESS_PX = 0.25;
/** Outline over width-plus-length from which a thin part is long enough for area over length: five times as long as wide. */
const LONG = 5 + 2 + 1 / 5;

/**
 * Local width of the piece at each of its pixels, in pixels: the breadth of a strand, the diameter of a ball.
 *
 * Twice the distance map on the ridge that the pixel climbs to, less the part of a pixel that it overstates. In long thin
 * parts (up to some six pixels wide), where the ridge is too coarse, area over length; the length from the outline.
 * With `cover`, a thin part's area is its covered area, so that a strand half a pixel wide has that width although whole
 * pixels carry its label. Pixels without a label have width 0.
 * Limit: a part that fills the picture from border to border has no width and gets the picture's longer side.
 *
 * @param labels - one label a pixel, height x width, row-major
 * @param cover - covered share of each pixel, 0 to 255
 * @source ridge and nearest ridge point: methods of local thickness (T. Hildebrand, P. Rueegsegger, J. Microscopy 185
 *   (1997) 67, from memory); half pixel: distance transform of bars, tests/reference/image-components.json; held within
 *   5 % on drawn bars and discs by tests/particles/localWidth.test.ts
 */
export function localWidthsPx(labels: Uint8Array, width: number, height: number, cover?: Uint8Array): Float32Array {
  const distance = distanceToOtherLabel(labels, width, height);
  const out = ridgeDistances(distance, labels, width, height);
  const thin = new Uint8Array(labels.length);
  const longest = Math.max(width, height);
  // Hot loop.
  for (let i = 0; i < labels.length; i++) {
    if (labels[i] === 0) continue;
    const d = out[i]!;
    out[i] = Math.min(2 * d - RIDGE_EXCESS_PX, longest);
    if (d <= THIN_RIDGE_PX) thin[i] = labels[i]!;
  }
  fillThinWidths(out, thin, labels, width, height, cover);
  return out;
}

/** For each labelled pixel the distance at the ridge pixel that it reaches by climbing the distance map the steepest way. */
function ridgeDistances(distance: Float32Array, labels: Uint8Array, width: number, height: number): Float32Array {
  // Hot loops. A pixel points at its steepest neighbour, by place in the square of nine; ridge pixels point at themselves.
  const up = new Uint8Array(labels.length);
  for (let row = 0; row < height; row++) {
    const top = row > 0 ? -1 : 0;
    const bottom = row < height - 1 ? 1 : 0;
    for (let column = 0; column < width; column++) {
      const i = row * width + column;
      const label = labels[i]!;
      if (label === 0) continue;
      const here = distance[i]!;
      // a neighbour beyond the picture is the pixel itself, which climbs nothing
      const left = column > 0 ? -1 : 0;
      const right = column < width - 1 ? 1 : 0;
      const steep = here + RIDGE_SLOPE;
      let best = MIDDLE;
      let slope = RIDGE_SLOPE;
      for (let dy = top; dy <= bottom; dy++) {
        const j = i + dy * width;
        const corner = dy === 0 ? 1 : Math.SQRT1_2;
        const [a, b, c] = [distance[j + left]!, distance[j]!, distance[j + right]!];
        if (a <= steep && b <= steep && c <= steep) continue;
        const one = (a - here) * corner;
        if (one > slope && labels[j + left] === label) {
          slope = one;
          best = MIDDLE + 3 * dy + left;
        }
        const two = b - here;
        if (two > slope && labels[j] === label) {
          slope = two;
          best = MIDDLE + 3 * dy;
        }
        const three = (c - here) * corner;
        if (three > slope && labels[j + right] === label) {
          slope = three;
          best = MIDDLE + 3 * dy + right;
        }
      }
      up[i] = best;
    }
  }
  const steps = Int32Array.from({ length: 9 }, (_, k) => (Math.floor(k / 3) - 1) * width + (k % 3) - 1);
  const out = new Float32Array(labels.length);
  for (let i = 0; i < up.length; i++) {
    if (labels[i] === 0 || out[i] !== 0) continue;
    let end = i;
    while (out[end] === 0 && up[end] !== MIDDLE) end += steps[up[end]!]!;
    const ridge = out[end] === 0 ? distance[end]! : out[end]!;
    out[end] = ridge;
    for (let at = i; at !== end; at += steps[up[at]!]!) out[at] = ridge;
  }
  return out;
}

/** Place of a pixel in the square of nine about it. */
const MIDDLE = 4;

/** Sums over one thin part. */
interface ThinSums {
  readonly area: Float64Array;
  readonly covered: Float64Array;
  /** Widths by the ridge, summed over pixels. */
  readonly ridge: Float64Array;
  /** Outline crossings between side neighbours, and between corner neighbours divided by sqrt(2). */
  readonly sides: Float64Array;
  readonly corners: Float64Array;
  /** 1 where the part runs into a thick part of its own label, so that it has no free ends to allow for. */
  readonly attached: Uint8Array;
}

function fillThinWidths(
  out: Float32Array,
  thin: Uint8Array,
  labels: Uint8Array,
  width: number,
  height: number,
  cover: Uint8Array | undefined,
): void {
  const parts = labelRegions(thin, width, height);
  const sums = sumThinParts(out, parts, thin, labels, width, height, cover);
  const widths = Float32Array.from({ length: parts.count + 1 }, (_, k) => (k === 0 ? 0 : thinWidth(sums, k)));
  for (let i = 0; i < out.length; i++) if (thin[i] !== 0) out[i] = widths[parts.ids[i]!]!;
}

function sumThinParts(
  ridgeWidths: Float32Array,
  { ids, count }: Regions,
  thin: Uint8Array,
  labels: Uint8Array,
  width: number,
  height: number,
  cover: Uint8Array | undefined,
): ThinSums {
  const sums: ThinSums = {
    area: new Float64Array(count + 1),
    covered: new Float64Array(count + 1),
    ridge: new Float64Array(count + 1),
    sides: new Float64Array(count + 1),
    corners: new Float64Array(count + 1),
    attached: new Uint8Array(count + 1),
  };
  // Hot loop.
  for (let i = 0; i < thin.length; i++) {
    const label = thin[i]!;
    if (label === 0) continue;
    const k = ids[i]!;
    sums.area[k]! += 1;
    sums.ridge[k]! += ridgeWidths[i]!;
    sums.covered[k]! += cover === undefined ? 1 : cover[i]! / 255;
    const column = i % width;
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const j = i + dy * width + dx;
        if (column + dx < 0 || column + dx >= width || j < 0 || j >= width * height) continue;
        if (labels[j] === label) {
          if (thin[j] === 0) sums.attached[k] = 1;
        } else if (dx === 0 || dy === 0) sums.sides[k]! += 1;
        else sums.corners[k]! += Math.SQRT1_2;
      }
    }
  }
  return sums;
}

/**
 * Width of a thin part from its area and outline.
 *
 * The outline's length is counted by crossings along rows, columns and both diagonals (Cauchy-Crofton). Four directions
 * leave an error of -5 % along the axes to +3 % at 22.5 degrees; the difference between side and corner crossings tells
 * how near the axes or diagonals a straight strand runs and takes most of that away.
 */
function thinWidth(sums: ThinSums, k: number): number {
  const sides = sums.sides[k]!;
  const corners = sums.corners[k]!;
  const area = sums.area[k]!;
  const lean = sides + corners === 0 ? 0 : (sides - corners) / (sides + corners);
  const half = (Math.PI / 16) * (sides + corners) * (1 + 1.86 * lean * lean) * 1.005;
  const coverShare = sums.covered[k]! / area;
  if (half * half < LONG * area) return Math.min(sums.ridge[k]! / area, Math.sqrt(area)) * coverShare;
  const strip = sums.attached[k] === 1 ? area / half : (half - Math.sqrt(half * half - 4 * area)) / 2;
  return strip * coverShare;
}
