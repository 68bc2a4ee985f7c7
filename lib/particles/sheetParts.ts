import { CLASS_CODE } from '../material/classes';
import type { Runs } from '../segmentation/labelRuns';
import { sheetShare } from './sheetShare';

/**
 * Widths side by side that differ by more than this factor belong to two pieces, or to a flake: drawn wire keeps its width within a few
 * per cent, and the grid of pixels adds as much again. The same 15 % as in sheetShare.ts.
 */
const SAME_WIDTH = 1.15;
/** Where nothing tells wire from sheet. */
const UNTOLD = 0.5;

/**
 * How sure it is of each pixel of aluminium that it lies on sheet and not on wire, 0 to 1, in reading order of these pixels.
 *
 * Pieces that touch read as one, whose width jumps where one ends and the next begins. So aluminium is parted where its local width jumps
 * and along its gaps, and what tells wire from sheet (sheetShare.ts) is asked of each part. Pixels in a gap are as sure as those
 * beside them on their row.
 *
 * @param widthPx - local width at each labelled pixel in reading order, photo pixels
 * @param gaps - 1 at pixels of the class map that lie in a gap
 */
export function sheetSharesPx(runs: Runs, widthPx: Float32Array, gaps?: Uint8Array): Float32Array {
	const parts = new Parts(widthsOf(runs, widthPx));
	joinAlike(parts, runs, gaps);
	const shares = parts.shares();
	let a = 0;
	for (let run = 0; run < runs.count; run++) {
		if (runs.label[run] !== CLASS_CODE.aluminium) continue;
		const to = a + runs.end[run]! - runs.start[run]!;
		fillUntold(shares, a, to);
		a = to;
	}
	return shares;
}

/** Widths of the aluminium's pixels alone. */
function widthsOf({ count, start, end, label }: Runs, widthPx: Float32Array): Float32Array {
	let many = 0;
	for (let run = 0; run < count; run++) if (label[run] === CLASS_CODE.aluminium) many += end[run]! - start[run]!;
	const widths = new Float32Array(many);
	let [k, a] = [0, 0];
	for (let run = 0; run < count && a < many; run++) {
		const length = end[run]! - start[run]!;
		if (label[run] === CLASS_CODE.aluminium) {
			widths.set(widthPx.subarray(k, k + length), a);
			a += length;
		}
		k += length;
	}
	return widths;
}

/** Joins side neighbours of like width. */
function joinAlike(parts: Parts, { width, height, start, end, label, firstOfRow }: Runs, gaps?: Uint8Array): void {
	let [above, here] = [new Int32Array(width).fill(-1), new Int32Array(width).fill(-1)];
	let a = 0;
	// Hot loop.
	for (let row = 0; row < height; row++) {
		here.fill(-1);
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			if (label[run] !== CLASS_CODE.aluminium) continue;
			let before = -1;
			for (let i = start[run]!; i < end[run]!; i++, a++) {
				if (gaps !== undefined && gaps[i] === 1) {
					before = -1;
					continue;
				}
				const column = i - row * width;
				parts.open(a);
				if (before >= 0) parts.joinIfAlike(a, before);
				if (above[column]! >= 0) parts.joinIfAlike(a, above[column]!);
				here[column] = a;
				before = a;
			}
		}
		[above, here] = [here, above];
	}
}

/** Give the pixels from one to another (not included) of a run that belong to no part the share of one beside them. */
function fillUntold(shares: Float32Array, from: number, to: number): void {
	let known = -1;
	for (let a = from; a < to; a++) {
		if (shares[a]! >= 0) {
			if (known < 0) shares.fill(shares[a]!, from, a);
			known = shares[a]!;
		} else if (known >= 0) shares[a] = known;
	}
	if (known < 0) shares.fill(UNTOLD, from, to);
}

/** A pixel that belongs to no part. */
const NONE = -1;

/** Pixels joined into parts: each points to another of its part, one in each to itself. */
class Parts {
	private readonly next: Int32Array;
	constructor(private readonly widthPx: Float32Array) {
		this.next = new Int32Array(widthPx.length).fill(NONE);
	}
	open(a: number): void {
		this.next[a] = a;
	}
	joinIfAlike(a: number, other: number): void {
		const ratio = this.widthPx[a]! / this.widthPx[other]!;
		if (ratio > SAME_WIDTH || ratio * SAME_WIDTH < 1) return;
		this.next[this.rootOf(a)] = this.rootOf(other);
	}
	/** What each part is told for, pixel by pixel; NONE where there is no part. Parts can't be joined any more. */
	shares(): Float32Array {
		const { widthPx } = this;
		const { part, count } = this.numbered();
		const pixels = new Float64Array(count);
		const sums = new Float64Array(count);
		const squares = new Float64Array(count);
		for (let a = 0; a < part.length; a++) {
			const p = part[a]!;
			if (p === NONE) continue;
			pixels[p]! += 1;
			sums[p]! += widthPx[a]!;
			squares[p]! += widthPx[a]! * widthPx[a]!;
		}
		const share = pixels.map((area, p) => {
			const mean = sums[p]! / area;
			const variance = Math.max(0, squares[p]! / area - mean * mean);
			// only ratios count, so pixels do as well as millimetres
			return sheetShare({ meanWidthMm: mean, lengthMm: area / mean, widthScatter: Math.sqrt(variance) / mean });
		});
		return Float32Array.from(part, (p) => (p === NONE ? NONE : share[p]!));
	}
	/** The number of each pixel's part, in place of what it points to. */
	private numbered(): { readonly part: Int32Array; readonly count: number } {
		const { next } = this;
		for (let a = 0; a < next.length; a++) if (next[a] !== NONE) next[a] = this.rootOf(a);
		let count = 0;
		// a root's number is kept below NONE until all that point to it have read it
		for (let a = 0; a < next.length; a++) if (next[a] === a) next[a] = NONE - 1 - count++;
		for (let a = 0; a < next.length; a++) if (next[a]! > NONE) next[a] = next[next[a]!]!;
		for (let a = 0; a < next.length; a++) if (next[a] !== NONE) next[a] = NONE - 1 - next[a]!;
		return { part: next, count };
	}
	private rootOf(a: number): number {
		const { next } = this;
		let at = a;
		while (next[at] !== at) {
			next[at] = next[next[at]!]!;
			at = next[at]!;
		}
		return at;
	}
}
