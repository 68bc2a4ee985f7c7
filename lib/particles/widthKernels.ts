import { kernelsOf } from '../segmentation/kernelMemory';
import { pixelsOf, type Runs } from '../segmentation/labelRuns';
import { Room } from '../segmentation/room';
import { NEIGHBOURS } from './climbCode';
import { PARTS, REACH } from './distanceCode';
import { type RidgeRule, type WidthFunctions, widthCode } from './widthCode';

const [thinRoom, rimRoom] = [new Room(), new Room()];

/** Widths by the ridge that each labelled pixel climbs to, and where pieces are thin, which stands until widths are asked for again. */
export interface RidgeWidths {
	/** One a pixel of the runs in reading order, photo pixels. */
	readonly widths: Float32Array;
	/** The label where a part is thin, else 0; height x width. */
	readonly thin: Uint8Array;
	/** Borders of each pixel that does not lie at the picture's (rimCode.ts), where they are known; height x width. */
	readonly rims?: Uint8Array;
}

/**
 * @returns the same as `distance.ts` and `ridge.ts` give but for 1/128 of a pixel, for runs of pixels of a label picture, which may
 *   have other labels besides; undefined where a distance is too large, or without SIMD
 */
export function ridgeWidthsWith(rule: RidgeRule) {
	const kernels = kernelsOf<WidthFunctions>(widthCode(rule));
	return (runs: Runs, labels: Uint8Array): RidgeWidths | undefined => {
		const { width, height } = runs;
		const pixels = pixelsOf(runs);
		const stride = 16 * Math.ceil((width + 1) / 16);
		const plane = stride * (height + 2) + 32;
		const rowBytes = stride + 2 * REACH + 32;
		let bytes = 64;
		const take = (size: number) => {
			const at = bytes;
			bytes += 16 * Math.ceil(size / 16);
			return at;
		};
		const steps = take(64);
		const place = take(16);
		const full = take(stride);
		const [labelPlane, near, distances, climbs, ridges, widths] = [
			take(plane),
			take(plane),
			take(2 * plane),
			take(plane),
			take(2 * plane),
			take(4 * pixels),
		];
		const [starts, ends] = [take(4 * runs.count), take(4 * runs.count)];
		const wideLabels = take(rowBytes);
		const wideSquares = take(2 * rowBytes);
		const made = kernels(bytes);
		if (made === undefined) return undefined;
		const memory = made.bytes;
		const words = new Int32Array(memory.buffer);
		memory.fill(0, labelPlane, distances + 2 * plane);
		memory.fill(0, ridges, ridges + 2 * plane);
		memory.fill(255, full, full + stride);
		const first = stride + 16;
		for (let row = 0; row < height; row++)
			memory.set(labels.subarray(row * width, (row + 1) * width), labelPlane + first + row * stride);
		const sixteens = stride / 16;
		const at = (row: number) => first + row * stride;
		// the picture's border is not an edge: the first and the last row take themselves for their neighbours, at no end of distance
		for (let row = 0; row < height; row++) {
			const own = labelPlane + at(row);
			const before = labelPlane + at(Math.max(0, row - 1));
			made.column(own, before, row === 0 ? full : near + at(row - 1), near + at(row), full, sixteens);
		}
		for (let row = height - 1; row >= 0; row--) {
			const own = labelPlane + at(row);
			const after = labelPlane + at(Math.min(height - 1, row + 1));
			const known = row === height - 1 ? full : near + at(row + 1);
			made.column(own, after, known, near + at(row), near + at(row), sixteens);
		}
		words[place / 4] = 0;
		memory.fill(255, wideSquares, wideSquares + 2 * rowBytes);
		for (let row = 0; row < height; row++) {
			const own = labelPlane + at(row);
			made.square(near + at(row), wideSquares + 2 * (REACH + 16), sixteens);
			memory.copyWithin(wideLabels + REACH + 16, own, own + width);
			memory.fill(memory[own]!, wideLabels, wideLabels + REACH + 16);
			memory.fill(memory[own + width - 1]!, wideLabels + REACH + 16 + width, wideLabels + rowBytes);
			// beyond the row's end the squares are those of nothing near
			memory.fill(255, wideSquares + 2 * (REACH + 16 + width), wideSquares + 2 * (REACH + 16 + stride));
			made.across(
				wideLabels + REACH + 16,
				wideSquares + 2 * (REACH + 16),
				distances + 2 * at(row),
				Math.ceil(width / 8),
				place,
			);
			// what lies beyond the row's end has no distance
			memory.fill(0, distances + 2 * (at(row) + width), distances + 2 * (at(row) + stride));
		}
		if (words[place / 4] !== 0) return undefined;
		const slope = Math.floor(rule.slope * PARTS);
		const eights = Math.ceil(width / 8);
		for (let row = 0; row < height; row++)
			made.climb(labelPlane + at(row), distances + 2 * at(row), climbs + at(row), stride, eights, slope);
		for (const [k, [dy, dx]] of NEIGHBOURS.entries()) words[steps / 4 + k] = dy * stride + dx;
		words[place / 4] = widths;
		words.set(runs.start, starts / 4);
		words.set(runs.end, ends / 4);
		// climbs that only go back are settled from the top, those that only go on from the bottom, and the few that turn one by one
		for (let row = 0; row < height; row++) {
			const run = runs.firstOfRow[row]!;
			const past = runs.firstOfRow[row + 1]!;
			const start = starts + 4 * run;
			const shift = at(row) - row * width;
			if (past > run) made.settle(ends + 4 * run, start, start, past - run, shift, 1, distances, climbs, ridges, steps);
		}
		for (let row = height - 1; row >= 0; row--) {
			const run = runs.firstOfRow[row]!;
			const past = runs.firstOfRow[row + 1]!;
			const end = ends + 4 * past - 4;
			const shift = at(row) - row * width - 1;
			if (past > run)
				made.settle(end, starts + 4 * past - 4, end, past - run, shift, -1, distances, climbs, ridges, steps);
		}
		for (let row = 0; row < height; row++) made.follow(labelPlane, distances, climbs, ridges, steps, at(row), eights);
		// the distances along columns are used up: their plane takes the thin parts
		memory.fill(0, near, near + plane);
		const thin = thinRoom.bytes(width * height);
		const longest = Math.max(width, height);
		for (let row = 0; row < height; row++) {
			const run = runs.firstOfRow[row]!;
			const count = runs.firstOfRow[row + 1]! - run;
			if (count === 0) {
				thin.fill(0, row * width, (row + 1) * width);
				continue;
			}
			const shift = at(row) - row * width;
			made.widths(starts + 4 * run, ends + 4 * run, count, shift, labelPlane, ridges, near, longest, place);
			thin.set(memory.subarray(near + at(row), near + at(row) + width), row * width);
		}
		// the climbs are used up as well
		const rims = rimRoom.bytes(width * height);
		for (let row = 0; row < height; row++) {
			if (runs.firstOfRow[row] === runs.firstOfRow[row + 1]) continue;
			made.rims(labelPlane + at(row), near + at(row), climbs + at(row), stride, sixteens);
			rims.set(memory.subarray(climbs + at(row), climbs + at(row) + width), row * width);
		}
		return { widths: new Float32Array(memory.buffer, widths, pixels).slice(), thin, rims };
	};
}
