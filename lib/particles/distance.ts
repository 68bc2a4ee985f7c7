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
	const numbers = () => new Float64Array(runs.width + 2);
	const envelope = { apex: numbers(), height: numbers(), from: numbers() };
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

/** Parabolas of the lower envelope of one run: where each has its apex, its height there, and from where on it is the lowest. */
interface Envelope {
	readonly apex: Float64Array;
	readonly height: Float64Array;
	readonly from: Float64Array;
}

/** Distances of one run, whose pixels stand from `at` on. */
function fillRun(
	out: Float32Array,
	alongColumn: Uint16Array,
	{ start, end, width }: Runs,
	run: number,
	at: number,
	{ apex, height, from }: Envelope,
): void {
	const column = start[run]! % width;
	const length = end[run]! - start[run]!;
	// columns count from the run's first pixel; the last parabola added is kept at hand
	let count = 0;
	let lastApex = -1;
	let lastHeight = 0;
	let lastFrom = Number.NEGATIVE_INFINITY;
	if (column > 0) {
		apex[0] = -1;
		height[0] = 0;
		from[0] = Number.NEGATIVE_INFINITY;
		count = 1;
	}
	const stop = column + length < width ? length : length - 1;
	// Hot loop.
	for (let k = 0; k <= stop; k++) {
		const d = k < length ? alongColumn[at + k]! : 0;
		if (d >= FAR) continue;
		const here = d * d;
		let begin = Number.NEGATIVE_INFINITY;
		while (count > 0) {
			begin = (here + k * k - (lastHeight + lastApex * lastApex)) / (2 * (k - lastApex));
			if (begin > lastFrom) break;
			count--;
			begin = Number.NEGATIVE_INFINITY;
			if (count === 0) break;
			lastApex = apex[count - 1]!;
			lastHeight = height[count - 1]!;
			lastFrom = from[count - 1]!;
		}
		apex[count] = k;
		height[count] = here;
		from[count] = begin;
		count++;
		lastApex = k;
		lastHeight = here;
		lastFrom = begin;
	}
	if (count === 0) {
		out.fill(Number.POSITIVE_INFINITY, at, at + length);
		return;
	}
	let lowest = 0;
	let [middle, least] = [apex[0]!, height[0]!];
	let next = count > 1 ? from[1]! : Number.POSITIVE_INFINITY;
	for (let k = 0; k < length; k++) {
		while (next <= k) {
			lowest++;
			middle = apex[lowest]!;
			least = height[lowest]!;
			next = lowest + 1 < count ? from[lowest + 1]! : Number.POSITIVE_INFINITY;
		}
		out[at + k] = Math.sqrt((k - middle) * (k - middle) + least);
	}
}
