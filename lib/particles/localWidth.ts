import { joinRuns, type Runs, runsOf } from '../segmentation/labelRuns';
import { distancesOfRuns, placesOf, spreadOut } from './distance';
import { RIDGE_SLOPE, ridgeDistances } from './ridge';
import { CORNERS, CORNERS_FROM_BIT, JOINS_FROM_BIT, SIDES } from './rimCode';
import { type RidgeWidths, ridgeWidthsWith } from './widthKernels';

/** Ridge distance, px, up to which a part counts as thin: its width then comes from area over outline. */
const THIN_RIDGE_PX = 3;
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
	const runs = runsOf(labels, width, height);
	return spreadOut(widthsOfRuns(runs, labels, cover), runs);
}

/** The widths of `localWidthsPx`, one a labelled pixel in reading order. */
export function widthsOfRuns(runs: Runs, labels: Uint8Array, cover?: Uint8Array): Float32Array {
	const found = ridgeWidths(runs, labels) ?? ridgeWidthsSlowly(runs, labels);
	fillThinWidths(found, runs, labels, cover);
	return found.widths;
}

const ridgeWidths = ridgeWidthsWith({ slope: RIDGE_SLOPE, excessPx: RIDGE_EXCESS_PX, thinPx: THIN_RIDGE_PX });

/** The same pixel by pixel: where WebAssembly has no SIMD, and for pieces too wide for it. */
export function ridgeWidthsSlowly(runs: Runs, labels: Uint8Array): RidgeWidths {
	const widths = ridgeDistances(distancesOfRuns(runs, labels), runs, labels);
	const thin = new Uint8Array(labels.length);
	const longest = Math.max(runs.width, runs.height);
	// Hot loop.
	let k = 0;
	for (let run = 0; run < runs.count; run++) {
		const own = runs.label[run]!;
		for (let i = runs.start[run]!; i < runs.end[run]!; i++, k++) {
			const d = widths[k]!;
			widths[k] = Math.min(2 * d - RIDGE_EXCESS_PX, longest);
			if (d <= THIN_RIDGE_PX) thin[i] = own;
		}
	}
	return { widths, thin };
}

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
	{ widths, thin, rims }: RidgeWidths,
	runs: Runs,
	labels: Uint8Array,
	cover: Uint8Array | undefined,
): void {
	const parts = runsOf(thin, runs.width, runs.height);
	const { count, region } = joinRuns(parts);
	const places = placesWithin(parts, runs);
	const sums = sumThinParts(widths, parts, region, count, places, thin, labels, rims, cover);
	const widthOf = new Float64Array(count + 1);
	for (let id = 1; id <= count; id++) widthOf[id] = thinWidth(sums, id);
	for (let row = 0; row < parts.height; row++) fillRow(widths, parts, row, region, places, widthOf);
}

/** Write the widths of one row's thin runs: of a few pixels each, so the loop is sooner done than `fill` is called. */
function fillRow(
	widths: Float32Array,
	{ start, end, firstOfRow }: Runs,
	row: number,
	region: Int32Array,
	places: Int32Array,
	widthOf: Float64Array,
): void {
	for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
		const width = widthOf[region[run]!]!;
		const from = places[run]!;
		for (let k = from, to = from + end[run]! - start[run]!; k < to; k++) widths[k] = width;
	}
}

/** Where the first pixel of each run stands among the labelled pixels of the runs that it is a part of. */
function placesWithin(parts: Runs, runs: Runs): Int32Array {
	const first = placesOf(runs);
	const places = new Int32Array(parts.count);
	let run = 0;
	for (let k = 0; k < parts.count; k++) {
		while (runs.end[run]! <= parts.start[k]!) run++;
		places[k] = first[run]! + parts.start[k]! - runs.start[run]!;
	}
	return places;
}

function sumThinParts(
	ridgeWidths: Float32Array,
	parts: Runs,
	region: Int32Array,
	count: number,
	places: Int32Array,
	thin: Uint8Array,
	labels: Uint8Array,
	rims: Uint8Array | undefined,
	cover: Uint8Array | undefined,
): ThinSums {
	const { width, height, start, end } = parts;
	const sums: ThinSums = {
		area: new Float64Array(count + 1),
		covered: new Float64Array(count + 1),
		ridge: new Float64Array(count + 1),
		sides: new Float64Array(count + 1),
		corners: new Float64Array(count + 1),
		attached: new Uint8Array(count + 1),
	};
	// neighbours in a ring, sides first
	const ring = Int32Array.of(-width, -1, 1, width, -width - 1, 1 - width, width - 1, width + 1);
	// Hot loop.
	for (let run = 0; run < parts.count; run++) {
		const id = region[run]!;
		const label = parts.label[run]!;
		const from = start[run]!;
		const to = end[run]!;
		const left = Math.floor(from / width) * width;
		const isInner = left > 0 && left < width * (height - 1);
		// one by one: a list taken apart is made anew for each run
		let ridge = 0;
		let covered = 0;
		let sides = 0;
		let corners = 0;
		let attached = 0;
		let k = places[run]!;
		for (let i = from; i < to; i++, k++) {
			ridge += ridgeWidths[k]!;
			covered += cover === undefined ? 255 : cover[i]!;
			const column = i - left;
			const isAmid = isInner && column > 0 && column < width - 1;
			if (isAmid && rims !== undefined) {
				const rim = rims[i]!;
				sides += rim & SIDES;
				corners += (rim >> CORNERS_FROM_BIT) & CORNERS;
				attached |= rim >> JOINS_FROM_BIT;
				continue;
			}
			for (let n = 0; n < 8; n++) {
				const j = i + ring[n]!;
				if (!isAmid && (j < 0 || j >= labels.length || Math.abs((j % width) - column) > 1)) continue;
				if (labels[j] === label) {
					if (thin[j] === 0) attached = 1;
				} else if (n < 4) sides++;
				else corners++;
			}
		}
		sums.area[id]! += to - from;
		sums.ridge[id]! += ridge;
		sums.covered[id]! += covered / 255;
		sums.sides[id]! += sides;
		sums.corners[id]! += corners * Math.SQRT1_2;
		if (attached === 1) sums.attached[id] = 1;
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
