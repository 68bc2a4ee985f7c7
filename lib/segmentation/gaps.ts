import { BACKGROUND, UNJUDGED } from '../material/classes';

/**
 * By how much the chance that a pixel is a piece must fall between two places of one class for a gap to run between them. A
 * twentieth: above the grain of eight bits and of interpolation, far under the half at which the pixel would be called bare.
 * Our choice; halving or doubling it moves mean widths by some 5 %.
 */
const LEAST_DIP = 0.05;

/**
 * Pixels of one class that lie in a gap between two pieces of it: the lens blurs bare surface between strands that lie close, so
 * that they carry one label, but the surface still shows as a dip in the chance that a piece is there.
 *
 * A pixel is in a gap where that chance is least along a row, a column or a diagonal, and higher on both sides of it on pixels of
 * its own label no further than `reachPx`: the bottom of the dip alone, so that a gap parts pieces and takes no width off them.
 * Limit: pieces that touch without a shadow or surface between them show no dip and stay one.
 *
 * @param labels - class codes, height x width, row-major
 * @param covered - chance of a piece at each pixel, 0 to 255
 * @returns 1 where a gap runs; marks of touching pieces by the saddle between them, as in watershed splitting (L. Vincent,
 *   P. Soille, IEEE Trans. PAMI 13 (1991) 583, from memory)
 */
export function gapsBetween(
	labels: Uint8Array,
	covered: Uint8Array,
	width: number,
	height: number,
	reachPx: number,
): Uint8Array {
	const gaps = new Uint8Array(labels.length);
	const dip = Math.ceil(255 * LEAST_DIP);
	const steps = [1, width, width + 1, width - 1];
	// Hot loop.
	for (let row = reachPx; row < height - reachPx; row++) {
		for (let column = reachPx; column < width - reachPx; column++) {
			const i = row * width + column;
			const label = labels[i]!;
			const need = covered[i]! + dip;
			if (label === BACKGROUND || label === UNJUDGED || need > 255) continue;
			for (let s = 0; s < steps.length; s++) {
				const step = steps[s]!;
				if (covered[i + step]! < covered[i]! || covered[i - step]! < covered[i]!) continue;
				if (rises(labels, covered, i, step, reachPx, need) && rises(labels, covered, i, -step, reachPx, need)) {
					gaps[i] = 1;
					break;
				}
			}
		}
	}
	return runningOut(gaps, labels, width);
}

/** The gaps that run out into the open, as between two pieces: a dip that one label shuts in all round is grain or glare. */
function runningOut(gaps: Uint8Array, labels: Uint8Array, width: number): Uint8Array {
	const steps = [-width - 1, -width, 1 - width, -1, 1, width - 1, width, width + 1];
	const open = new Uint8Array(gaps.length);
	const looked = new Uint8Array(gaps.length);
	for (let start = 0; start < gaps.length; start++) {
		if (gaps[start] === 0 || looked[start] === 1) continue;
		const gap = [start];
		looked[start] = 1;
		let isOpen = false;
		for (let k = 0; k < gap.length; k++) {
			const at = gap[k]!;
			for (const step of steps) {
				const next = at + step;
				if (labels[next] !== labels[at]) isOpen = true;
				else if (gaps[next] === 1 && looked[next] === 0) {
					looked[next] = 1;
					gap.push(next);
				}
			}
		}
		if (isOpen) for (const at of gap) open[at] = 1;
	}
	return open;
}

/** Whether a pixel of the same label along the step reaches the height needed. */
function rises(
	labels: Uint8Array,
	covered: Uint8Array,
	from: number,
	step: number,
	reachPx: number,
	need: number,
): boolean {
	for (let k = 1, at = from + step; k <= reachPx; k++, at += step) {
		if (labels[at] === labels[from] && covered[at]! >= need) return true;
	}
	return false;
}
