import type { ClassMap } from './classMap';
import { pixelKernels } from './pixelKernels';

/** Runs of pixels of one label along a row, in reading order; `start` and `end` (not included) are positions in the picture. */
export interface Runs {
	readonly count: number;
	readonly start: Int32Array;
	readonly end: Int32Array;
	readonly label: Uint8Array;
	/** First run of each row; one more entry than rows. */
	readonly firstOfRow: Int32Array;
	readonly width: number;
	readonly height: number;
}

/** Which region each run belongs to. */
export interface JoinedRuns {
	readonly count: number;
	/** Region of each run, 1 to `count`, numbered by first pixel in reading order. */
	readonly region: Int32Array;
}

/** One label in all four bytes of a word. */
const ALL_FOUR = 0x01010101;

/**
 * Cut a label picture into runs.
 *
 * @param labels - one label a pixel, height x width, row-major
 * @param inside - 1 where a pixel counts, whatever its label; left out, those count whose label is not 0
 */
export function runsOf(labels: Uint8Array, width: number, height: number, inside?: Uint8Array): Runs {
	if (labels.length !== width * height) {
		throw new RangeError(`labels: ${width} x ${height} pixels expected, got ${labels.length}`);
	}
	return cutByKernel(labels, width, height, inside) ?? cutSlowly(labels, width, height, inside);
}

/** The runs of label pictures that are not written to any more. */
const known = new WeakMap<Uint8Array, Runs>();

/** The runs of a class map: several steps ask for the same. Labels of a class map are not written to once it is made. */
export function runsOfMap({ labels, width, height }: Pick<ClassMap, 'labels' | 'width' | 'height'>): Runs {
	const before = known.get(labels);
	if (before?.width === width && before.height === height) return before;
	const runs = runsOf(labels, width, height);
	known.set(labels, runs);
	return runs;
}

/** Rows cut at once: their labels and runs stay in a processor's second cache. */
const ROWS_AT_ONCE = 32;

/** Runs by the kernels; undefined without SIMD. */
function cutByKernel(labels: Uint8Array, width: number, height: number, inside?: Uint8Array): Runs | undefined {
	const strip = Math.min(height, ROWS_AT_ONCE);
	const pixels = strip * width;
	// a margin on either side for what is read beyond the rows
	const size = 16 * Math.ceil((pixels + 32) / 16);
	const [inStrip, starts, ends, kinds, counter] = [size, 2 * size, 6 * size, 10 * size, 11 * size];
	const kernels = pixelKernels(11 * size + 16);
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	const words = new Int32Array(bytes.buffer);
	const firstOfRow = new Int32Array(height + 1);
	let room = labels.length >> 6;
	let [start, end, label] = [new Int32Array(room), new Int32Array(room), new Uint8Array(room)];
	let count = 0;
	for (let top = 0; top < height; top += strip) {
		const rows = Math.min(strip, height - top);
		bytes.set(labels.subarray(top * width, (top + rows) * width), 16);
		if (inside !== undefined) bytes.set(inside.subarray(top * width, (top + rows) * width), inStrip + 16);
		words[counter / 4] = 0;
		for (let row = 0; row < rows; row++) {
			firstOfRow[top + row] = count + words[counter / 4]!;
			const own = 16 + row * width;
			kernels.cutRow(
				own,
				inside === undefined ? own : inStrip + own,
				width,
				(top + row) * width,
				starts,
				ends,
				kinds,
				counter,
			);
		}
		const found = words[counter / 4]!;
		if (count + found > room) {
			// as the rows so far have them, and a quarter more
			room = Math.ceil((1.25 * (count + found) * height) / (top + rows));
			start = grown(start, new Int32Array(room));
			end = grown(end, new Int32Array(room));
			label = grown(label, new Uint8Array(room));
		}
		start.set(words.subarray(starts / 4, starts / 4 + found), count);
		end.set(words.subarray(ends / 4, ends / 4 + found), count);
		label.set(bytes.subarray(kinds, kinds + found), count);
		count += found;
	}
	firstOfRow[height] = count;
	return {
		count,
		start: start.subarray(0, count),
		end: end.subarray(0, count),
		label: label.subarray(0, count),
		firstOfRow,
		width,
		height,
	};
}

/** The same pixel by pixel. */
export function cutSlowly(labels: Uint8Array, width: number, height: number, inside?: Uint8Array): Runs {
	const words = wordsOf(labels);
	const inWords = inside === undefined ? undefined : wordsOf(inside);
	const firstOfRow = new Int32Array(height + 1);
	let start = new Int32Array(2 * width + (labels.length >> 5));
	let end = new Int32Array(start.length);
	let kind = new Uint8Array(start.length);
	let run = 0;
	// Hot loops: four pixels at a time where they are alike.
	for (let row = 0; row < height; row++) {
		firstOfRow[row] = run;
		if (run + width > start.length) {
			start = grown(start, new Int32Array(2 * start.length + width));
			end = grown(end, new Int32Array(start.length));
			kind = grown(kind, new Uint8Array(start.length));
		}
		const stop = (row + 1) * width;
		let at = row * width;
		while (at < stop) {
			const label = labels[at]!;
			const within = inside === undefined ? 0 : inside[at]!;
			const four = Math.imul(label, ALL_FOUR) >>> 0;
			const from = at++;
			if (inside === undefined || inWords === undefined) {
				while (at < stop) {
					if ((at & 3) === 0 && at + 4 <= stop && words[at >> 2] === four) at += 4;
					else if (labels[at] === label) at++;
					else break;
				}
				if (label === 0) continue;
			} else {
				const fourIn = Math.imul(within, ALL_FOUR) >>> 0;
				while (at < stop) {
					if ((at & 3) === 0 && at + 4 <= stop && words[at >> 2] === four && inWords[at >> 2] === fourIn) at += 4;
					else if (labels[at] === label && inside[at] === within) at++;
					else break;
				}
				if (within === 0) continue;
			}
			start[run] = from;
			end[run] = at;
			kind[run++] = label;
		}
	}
	firstOfRow[height] = run;
	const label = kind.subarray(0, run);
	return { count: run, start: start.subarray(0, run), end: end.subarray(0, run), label, firstOfRow, width, height };
}

/** Pixels in all runs. */
export function pixelsOf({ count, start, end }: Runs): number {
	let pixels = 0;
	for (let run = 0; run < count; run++) pixels += end[run]! - start[run]!;
	return pixels;
}

/** The runs whose label is wanted: where all are, the same. */
export function runsWhere(runs: Runs, isWanted: (label: number) => boolean): Runs {
	const wanted = new Uint8Array(256);
	for (let label = 0; label < wanted.length; label++) wanted[label] = isWanted(label) ? 1 : 0;
	let count = 0;
	for (let run = 0; run < runs.count; run++) count += wanted[runs.label[run]!]!;
	return count === runs.count ? runs : wantedRuns(runs, wanted, count);
}

function wantedRuns(runs: Runs, wanted: Uint8Array, count: number): Runs {
	const { width, height } = runs;
	const [start, end, label] = [new Int32Array(count), new Int32Array(count), new Uint8Array(count)];
	const firstOfRow = new Int32Array(height + 1);
	let kept = 0;
	for (let row = 0; row < height; row++) {
		firstOfRow[row] = kept;
		for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
			if (wanted[runs.label[run]!] === 0) continue;
			start[kept] = runs.start[run]!;
			end[kept] = runs.end[run]!;
			label[kept++] = runs.label[run]!;
		}
	}
	firstOfRow[height] = count;
	return { count, start, end, label, firstOfRow, width, height };
}

function wordsOf(bytes: Uint8Array): Uint32Array {
	const { buffer, byteOffset, length } = bytes.byteOffset % 4 === 0 ? bytes : bytes.slice();
	return new Uint32Array(buffer, byteOffset, length >> 2);
}

function grown<Numbers extends Int32Array | Uint8Array>(from: Numbers, into: Numbers): Numbers {
	into.set(from);
	return into;
}

/**
 * Join runs of one label that touch.
 *
 * @param neighbours - 8: corners count as touching; 4: only sides do
 * @source A. Rosenfeld, J. Pfaltz, Sequential operations in digital picture processing, J. ACM 13 (1966) 471 (two passes);
 *   done on runs of pixels with a union-find forest
 */
export function joinRuns(runs: Runs, neighbours: 4 | 8 = 8): JoinedRuns {
	return joinByKernel(runs, neighbours) ?? joinSlowly(runs, neighbours);
}

function joinByKernel(runs: Runs, neighbours: 4 | 8): JoinedRuns | undefined {
	const { count, width, height } = runs;
	if (count === 0) return { count: 0, region: new Int32Array() };
	const words = 16 * Math.ceil(count / 4);
	const [ends, parents, regions] = [words, 2 * words, 3 * words];
	const [labels, rows] = [4 * words, 5 * words];
	const kernels = pixelKernels(rows + 4 * (height + 1));
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	const numbers = new Int32Array(bytes.buffer);
	numbers.set(runs.start, 0);
	numbers.set(runs.end, ends / 4);
	numbers.set(runs.firstOfRow, rows / 4);
	bytes.set(runs.label, labels);
	kernels.joinRuns(0, ends, labels, rows, height, count, width, neighbours === 8 ? 1 : 0, parents, regions);
	const region = numbers.slice(regions / 4, regions / 4 + count);
	let most = 0;
	for (let run = 0; run < count; run++) if (region[run]! > most) most = region[run]!;
	return { count: most, region };
}

/** The same where WebAssembly has no SIMD. */
export function joinSlowly(runs: Runs, neighbours: 4 | 8 = 8): JoinedRuns {
	const parent = forestOf(runs, neighbours === 8 ? 1 : 0);
	// A root is the smallest run of its region and runs are in reading order: numbering roots as they come is by first pixel. What a run
	// points to comes before it, so its region is known by then.
	const region = new Int32Array(runs.count);
	let count = 0;
	for (let run = 0; run < runs.count; run++) {
		const before = parent[run]!;
		region[run] = before === run ? ++count : region[before]!;
	}
	return { count, region };
}

/** Forest in which runs that touch the row above share a root; `reach` is 1 where corners count as touching. */
function forestOf(runs: Runs, reach: number): Int32Array {
	const { start, end, label, firstOfRow, width, height } = runs;
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
				if (label[k] !== label[run]) continue;
				// a run that nothing has joined yet needs no search
				if (parent[run] === run) parent[run] = find(parent, k);
				else union(parent, k, run);
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
