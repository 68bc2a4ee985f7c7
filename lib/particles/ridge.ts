import type { Runs } from '../segmentation/labelRuns';
import { placesOf } from './distance';

/**
 * Steepest climb of the distance map (px a px) at which a pixel still lies on the ridge, between a ridge's 0 and a flank's
 * 1. Low, since the map of a tilted bar climbs in steps; a part that tapers by less counts as having the width it has.
 */
export const RIDGE_SLOPE = 0.2;

/**
 * For each labelled pixel the distance at the ridge pixel that it reaches by climbing the distance map the steepest way.
 *
 * @param distance - one number a labelled pixel in reading order, and so the result
 */
export function ridgeDistances(distance: Float32Array, runs: Runs, labels: Uint8Array): Float32Array {
	const up = uphill(distance, runs, labels);
	const out = new Float32Array(distance.length);
	// Hot loop.
	for (let k = 0; k < up.length; k++) {
		if (out[k] !== 0) continue;
		let end = k;
		while (out[end] === 0 && up[end] !== end) end = up[end]!;
		const ridge = out[end] === 0 ? distance[end]! : out[end]!;
		out[end] = ridge;
		for (let at = k; at !== end; at = up[at]!) out[at] = ridge;
	}
	return out;
}

/** Rows of a picture that move down it: distances (0 where there is no label) and which labelled pixel each one is. */
class Band {
	readonly distance: Float32Array;
	readonly place: Int32Array;
	constructor(width: number) {
		// a pixel beyond either side of the picture stands for one without a label
		this.distance = new Float32Array(width + 2);
		this.place = new Int32Array(width + 2);
	}
}

/** The neighbour that each labelled pixel climbs to, or itself on the ridge. */
function uphill(distance: Float32Array, runs: Runs, labels: Uint8Array): Int32Array {
	const { start, end, label, firstOfRow, width, height } = runs;
	const first = placesOf(runs);
	const up = new Int32Array(distance.length);
	const fill = (band: Band, row: number, on: boolean) => {
		const base = row * width - 1;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const from = start[run]! - base;
			const to = end[run]! - base;
			if (!on) band.distance.fill(0, from, to);
			else {
				let k = first[run]!;
				for (let column = from; column < to; column++, k++) {
					band.distance[column] = distance[k]!;
					band.place[column] = k;
				}
			}
		}
	};
	let [above, here, below] = [new Band(width), new Band(width), new Band(width)];
	if (height > 0) fill(below, 0, true);
	// Hot loop.
	for (let row = 0; row < height; row++) {
		const free = above;
		if (row > 1) fill(free, row - 2, false);
		[above, here, below] = [here, below, free];
		if (row < height - 1) fill(below, row + 1, true);
		climbRow(row);
	}
	return up;

	function climbRow(row: number): void {
		const [upper, middle, lower] = [above.distance, here.distance, below.distance];
		const [placeAbove, placeBelow] = [above.place, below.place];
		const base = row * width - 1;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const own = label[run]!;
			let k = first[run]!;
			for (let i = start[run]!; i < end[run]!; i++, k++) {
				const column = i - base;
				const d = middle[column]!;
				const steep = d + RIDGE_SLOPE;
				let slope = RIDGE_SLOPE;
				let best = k;
				// in reading order; the first of equals wins
				const a = upper[column - 1]!;
				const b = upper[column]!;
				const c = upper[column + 1]!;
				if (a > steep || b > steep || c > steep) {
					const p = (a - d) * Math.SQRT1_2;
					const q = b - d;
					const r = (c - d) * Math.SQRT1_2;
					const j = i - width;
					if (p > slope && labels[j - 1] === own) {
						slope = p;
						best = placeAbove[column - 1]!;
					}
					if (q > slope && labels[j] === own) {
						slope = q;
						best = placeAbove[column]!;
					}
					if (r > slope && labels[j + 1] === own) {
						slope = r;
						best = placeAbove[column + 1]!;
					}
				}
				const e = middle[column - 1]! - d;
				const f = middle[column + 1]! - d;
				if (e > slope && labels[i - 1] === own) {
					slope = e;
					best = k - 1;
				}
				if (f > slope && labels[i + 1] === own) {
					slope = f;
					best = k + 1;
				}
				const u = lower[column - 1]!;
				const v = lower[column]!;
				const w = lower[column + 1]!;
				if (u > steep || v > steep || w > steep) {
					const p = (u - d) * Math.SQRT1_2;
					const q = v - d;
					const r = (w - d) * Math.SQRT1_2;
					const j = i + width;
					if (p > slope && labels[j - 1] === own) {
						slope = p;
						best = placeBelow[column - 1]!;
					}
					if (q > slope && labels[j] === own) {
						slope = q;
						best = placeBelow[column]!;
					}
					if (r > slope && labels[j + 1] === own) best = placeBelow[column + 1]!;
				}
				up[k] = best;
			}
		}
	}
}
