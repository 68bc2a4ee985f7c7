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
 * the first, which costs a twentieth of the largest; a small one needs that.
 */
const SEARCH_SIDES_PX = [360, 900, 1600, 1200, 600] as const;

/** Places a block that are looked at along either side when a picture is shrunk for the search: nine take the grain off well enough. */
const PLACES = 3;

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

const MARKS_OF_A_MAT = 4;

/**
 * Square marks of OpenCV's DICT_4X4_50 on a photo, corners refined on the full raster.
 *
 * Stops looking at smaller sizes once as many ids are seen as a mat has. Of marks in one place the first whose code fits on the full raster is
 * kept; an id comes twice where its mark is in two places.
 * Limit: a texture may still look like a mark; whoever uses marks must check their layout.
 */
export function findMarkers(raster: Raster): Marker[] {
	const marks: Marker[] = [];
	const steps = [...new Set(SEARCH_SIDES_PX.map((side) => Math.ceil(Math.max(raster.width, raster.height) / side)))];
	for (const step of steps) {
		for (const found of detectOn(shrinkToGrey(raster, step))) {
			// the detector names whole pixels: their centres, on the full raster
			const rough = found.corners.map(({ x, y }) => ({ x: (x + 0.5) * step, y: (y + 0.5) * step }));
			if (marks.some((mark) => mark.id === found.id && isWithin(centreOf(rough), mark.outlinePx))) continue;
			const { cornersPx: outlinePx, edgeWidthPx } = refineCorners(raster, rough, step);
			if (markerFit(raster, outlinePx, found.id) < LEAST_FIT) continue;
			marks.push({
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
		if (new Set(marks.map(({ id }) => id)).size >= MARKS_OF_A_MAT) break;
	}
	return marks.sort((a, b) => a.id - b.id);
}

/** Middle of four corners. */
export function centreOf(quad: readonly PointPx[]): PointPx {
	return { x: quad.reduce((s, p) => s + p.x, 0) / quad.length, y: quad.reduce((s, p) => s + p.y, 0) / quad.length };
}

/** Whether a place lies within a mark, whose corners run clockwise. */
function isWithin({ x, y }: PointPx, outline: readonly PointPx[]): boolean {
	return outline.every((p, i) => {
		const q = outline[(i + 1) % outline.length]!;
		return (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x) > 0;
	});
}

const DETECTOR = new aruco.AR.Detector({
	dictionaryName: MARKER_DICTIONARY,
	maxHammingDistance: WRONG_BITS_BELOW,
});

/** Marks on a small picture. The detector's own lists would grow number by number; arrays that are there already take half its time. */
function detectOn({ width, height, rgba }: ReturnType<typeof shrinkToGrey>) {
	DETECTOR.grey.data = new Uint8Array(width * height);
	DETECTOR.thres.data = new Uint8Array(width * height);
	DETECTOR.binary = new Int32Array((width + 2) * (height + 2));
	return DETECTOR.detectImage(width, height, rgba);
}

/**
 * Means of step x step blocks as grey RGBA, the form the detector reads: of all their pixels where they are small, else of places
 * spread evenly over them.
 */
function shrinkToGrey(raster: Raster, step: number): { width: number; height: number; rgba: Uint8ClampedArray } {
	const width = Math.floor(raster.width / step);
	const height = Math.floor(raster.height / step);
	const grey = new Uint32Array(width * height);
	const { data } = raster;
	const places = Math.min(step, PLACES);
	const offsets = Array.from({ length: places }, (_, k) => Math.floor(((k + 0.5) * step) / places));
	for (let row = 0; row < height; row++) {
		for (const dy of offsets) {
			const line = 3 * (row * step + dy) * raster.width;
			const luma = grey.subarray(row * width, (row + 1) * width);
			if (offsets.length === PLACES) addLumaOfThree(luma, data, line, 3 * step, offsets);
			else for (const dx of offsets) addLuma(luma, data, line + 3 * dx, 3 * step);
		}
	}
	const rgba = new Uint8ClampedArray(4 * width * height);
	const scale = 1 / (256 * places * places);
	for (let row = 0; row < height; row++)
		setGreys(
			rgba.subarray(4 * row * width, 4 * (row + 1) * width),
			grey.subarray(row * width, (row + 1) * width),
			scale,
		);
	return { width, height, rgba };
}

/** Add 256 times the luma of pixels `stride` bytes apart to a row, by the usual weights. */
function addLuma(row: Uint32Array, data: Uint8Array, from: number, stride: number): void {
	// Hot loop.
	for (let i = 0, at = from; i < row.length; i++, at += stride)
		row[i]! += 77 * data[at]! + 150 * data[at + 1]! + 29 * data[at + 2]!;
}

/** The same for three places of each block at once. */
function addLumaOfThree(
	row: Uint32Array,
	data: Uint8Array,
	line: number,
	stride: number,
	offsets: readonly number[],
): void {
	const first = 3 * offsets[0]!;
	const [second, third] = [3 * offsets[1]! - first, 3 * offsets[2]! - first];
	// Hot loop.
	for (let i = 0, at = line + first; i < row.length; i++, at += stride) {
		const b = at + second;
		const c = at + third;
		row[i]! +=
			77 * (data[at]! + data[b]! + data[c]!) +
			150 * (data[at + 1]! + data[b + 1]! + data[c + 1]!) +
			29 * (data[at + 2]! + data[b + 2]! + data[c + 2]!);
	}
}

/** Write a row of greys, each times `scale`, as opaque pixels. */
function setGreys(row: Uint8ClampedArray, greys: Uint32Array, scale: number): void {
	for (let i = 0; i < greys.length; i++) {
		const value = greys[i]! * scale;
		row[4 * i] = value;
		row[4 * i + 1] = value;
		row[4 * i + 2] = value;
		row[4 * i + 3] = 255;
	}
}
