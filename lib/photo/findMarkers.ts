import aruco from 'js-aruco2';
import { cornerPoint } from './cornerPoint';
import { MARKER_DICTIONARY } from './markerCodes';
import { markerFit } from './markerFit';
import type { PointPx, Raster } from './raster';
import { refineCorners } from './refineCorners';

/** One square mark on a photo. */
export interface Marker {
  readonly id: number;
  /** Corner points as other detectors report them, clockwise from the mark's own top-left. */
  readonly cornersPx: readonly [PointPx, PointPx, PointPx, PointPx];
  /** Corners of the black square itself: its four edges, placed in linear light, crossed. Measure with these. */
  readonly outlinePx: readonly [PointPx, PointPx, PointPx, PointPx];
  /**
   * Width of the black-to-white step at the mark's edges, 10 to 90 % in linear light, pixels; the picture's sharpness.
   * Undefined where the edges could not be followed.
   */
  readonly edgeWidthPx?: number;
}

/**
 * Longer sides at which marks are looked for, in turn. The detector's threshold window has a fixed size in pixels, so it sees
 * nothing in a full phone picture, and large or soft marks only when they are made small. A mat that fills the picture shows at
 * the first, which costs a third of the largest; a small one needs that.
 */
const SEARCH_SIDES_PX = [900, 1600, 1200, 600] as const;

/** The detector's test is "less than": at most one wrong bit out of sixteen. */
const WRONG_BITS_BELOW = 2;

/** Other detectors halve sRGB codes, not light. */
const CODE_GAMMA = 2.2;

/**
 * Share of places inside a mark that must be as dark or light as its code says: three of 324 may be wrong.
 *
 * Chosen by eye, bounded by tests/photo/findMarkers.test.ts: every true mark measured had all 324 right, marks of a
 * 6 x 6 dictionary that were misread as ours at most 318.
 */
const LEAST_FIT = 1 - 3.5 / 324;

/**
 * Square marks of OpenCV's DICT_4X4_50 on a photo, corners refined on the full raster.
 *
 * Stops looking at smaller sizes once all of `wanted` marks are seen. One mark per id: the first whose code fits on the
 * full raster.
 * Limit: a texture may still look like a mark; whoever uses marks must check their layout.
 *
 * @param wanted - how many marks are enough
 */
export function findMarkers(raster: Raster, wanted = 4): Marker[] {
  const marks = new Map<number, Marker>();
  const detector = new aruco.AR.Detector({ dictionaryName: MARKER_DICTIONARY, maxHammingDistance: WRONG_BITS_BELOW });
  const steps = [...new Set(SEARCH_SIDES_PX.map((side) => Math.ceil(Math.max(raster.width, raster.height) / side)))];
  for (const step of steps) {
    const small = shrinkToGrey(raster, step);
    for (const found of detector.detectImage(small.width, small.height, small.rgba)) {
      if (marks.has(found.id)) continue;
      // the detector names whole pixels: their centres, on the full raster
      const rough = found.corners.map(({ x, y }) => ({ x: (x + 0.5) * step, y: (y + 0.5) * step }));
      const { cornersPx: outlinePx, edgeWidthPx } = refineCorners(raster, rough, step);
      if (markerFit(raster, outlinePx, found.id) < LEAST_FIT) continue;
      marks.set(found.id, {
        id: found.id,
        // measuring needs only the outline, so these are worked out when somebody asks
        get cornersPx() {
          const seen = refineCorners(raster, rough, step, CODE_GAMMA).cornersPx;
          return seen.map((p) => cornerPoint(raster, p)) as [PointPx, PointPx, PointPx, PointPx]; // four in, four out
        },
        outlinePx,
        ...(edgeWidthPx === undefined ? {} : { edgeWidthPx }),
      });
    }
    if (marks.size >= wanted) break;
  }
  return [...marks.values()].sort((a, b) => a.id - b.id);
}

/** Mean of step x step blocks as grey RGBA, the form the detector reads. Hot loop over every pixel of the photo. */
function shrinkToGrey(raster: Raster, step: number): { width: number; height: number; rgba: Uint8ClampedArray } {
  const width = Math.floor(raster.width / step);
  const height = Math.floor(raster.height / step);
  const rgba = new Uint8ClampedArray(4 * width * height);
  const sums = new Uint32Array(width);
  const { data } = raster;
  const scale = 1 / (256 * step * step);
  for (let row = 0; row < height; row++) {
    sums.fill(0);
    for (let dy = 0; dy < step; dy++) {
      let at = 3 * (row * step + dy) * raster.width;
      for (let column = 0; column < width; column++) {
        let red = 0;
        let green = 0;
        let blue = 0;
        for (const end = at + 3 * step; at < end; at += 3) {
          red += data[at]!;
          green += data[at + 1]!;
          blue += data[at + 2]!;
        }
        sums[column]! += 77 * red + 150 * green + 29 * blue; // 256 times the usual luma weights
      }
    }
    for (let column = 0; column < width; column++) {
      const at = 4 * (row * width + column);
      const grey = sums[column]! * scale;
      rgba[at] = grey;
      rgba[at + 1] = grey;
      rgba[at + 2] = grey;
      rgba[at + 3] = 255;
    }
  }
  return { width, height, rgba };
}
