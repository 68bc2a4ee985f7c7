import { UNJUDGED } from '../material/classes';
import { type Runs, runsOf } from './labelRuns';
import { pixelKernels } from './pixelKernels';
import { Room } from './room';
import { SQUARE } from './squareCode';

/** Class codes are below this, but for what is not judged. */
const CODES = 16;
const EVERY_CODE = new Uint8Array(CODES).fill(255);

const room = new Room();

/**
 * Parts of pieces too thin to hold a square of 5 x 5 pixels: strands whose rim pixels are a large part of their area.
 *
 * @param kept - 255 for each class code whose parts are wanted, else 0; all codes when left out
 * @returns the label where the part is thin, else 0; height x width; good until thin parts are asked for again
 */
export function thinParts(labels: Uint8Array, width: number, height: number, kept = EVERY_CODE): Uint8Array {
	return thinByKernels(labels, width, height, kept) ?? thinSlowly(labels, width, height, kept);
}

/** The same a run at a time, where WebAssembly has no SIMD. */
export function thinSlowly(labels: Uint8Array, width: number, height: number, kept = EVERY_CODE): Uint8Array {
	const runs = runsOf(labels, width, height);
	const thin = labels.slice();
	leaveSquaresOut(thin, SQUARE, labels, runs);
	for (let run = 0; run < runs.count; run++) {
		const label = runs.label[run]!;
		if (label === UNJUDGED || kept[label] !== 255) thin.fill(0, runs.start[run]!, runs.end[run]!);
	}
	return thin;
}

/** Planes of rows with a margin of zeros to the right and, four rows each, above and below. */
function thinByKernels(labels: Uint8Array, width: number, height: number, kept: Uint8Array): Uint8Array | undefined {
	const stride = 16 * Math.ceil((width + SQUARE) / 16);
	const sixteens = stride / 16;
	const margin = (SQUARE - 1) * stride;
	const plane = height * stride + 2 * margin + 32;
	const [levels, corners] = [plane, 2 * plane];
	const table = 3 * plane;
	const kernels = pixelKernels(table + CODES);
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	bytes.fill(0, 0, 3 * plane);
	bytes.set(kept.subarray(0, CODES), table);
	const at = (row: number) => 16 + margin + row * stride;
	for (let row = 0; row < height; row++) bytes.set(labels.subarray(row * width, (row + 1) * width), at(row));
	for (let row = 0; row < height; row++) kernels.levelRuns(at(row), levels + at(row), sixteens);
	// no square begins so low that it would reach past the last row
	for (let row = 0; row + SQUARE <= height; row++)
		kernels.squareCorners(levels + at(row), at(row), stride, corners + at(row), sixteens);
	bytes.fill(0, levels, levels + plane);
	for (let row = 0; row < height; row++)
		kernels.squareRows(corners + at(row) - (SQUARE - 1), levels + at(row), sixteens);
	const thin = room.bytes(labels.length);
	for (let row = 0; row < height; row++) {
		kernels.outsideSquares(levels + at(row), at(row), stride, table, corners, sixteens);
		thin.set(bytes.subarray(corners, corners + width), row * width);
	}
	return thin;
}

/**
 * 1 where no square of `side` x `side` pixels of one label covers the pixel; height x width.
 *
 * @param side - odd
 * @source morphological opening with a square (J. Serra, Image Analysis and Mathematical Morphology, 1982, from memory)
 */
export function isThinnerThan(side: number, labels: Uint8Array, width: number, height: number): Uint8Array {
	const thin = new Uint8Array(labels.length).fill(1);
	leaveSquaresOut(thin, side, labels, runsOf(labels, width, height));
	return thin;
}

/** Write 0 wherever a square of one label fits. */
function leaveSquaresOut(thin: Uint8Array, side: number, labels: Uint8Array, runs: Runs): void {
	// Hot loops, separable: how long each label runs along rows, then along columns; where a square ends, its columns are marked by
	// 0, and from the bottom up the marks are drawn out to its height. Labels hold a square whole, so other pixels are passed over.
	const { start, end, label, firstOfRow, width, height } = runs;
	const runDown = new Uint16Array(width);
	for (let row = 0; row < height; row++) {
		const base = row * width;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const from = start[run]!;
			const own = label[run]!;
			const first = Math.min(end[run]!, from + side - 1);
			for (let i = from; i < first; i++) runDown[i - base] = 0;
			let unmarked = from;
			for (let i = first; i < end[run]!; i++) {
				// a square's upper rows ran on in the same label
				const down = row > 0 && labels[i - width] === own ? runDown[i - base]! + 1 : 1;
				runDown[i - base] = down;
				if (down < side) continue;
				for (let k = Math.max(unmarked, i - side + 1); k <= i; k++) thin[k] = 0;
				unmarked = i + 1;
			}
		}
	}
	const left = new Uint16Array(width);
	for (let row = height - 1; row >= 0; row--) {
		const base = row * width;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			for (let i = start[run]!; i < end[run]!; i++) {
				if (thin[i] === 0) left[i - base] = side;
				if (left[i - base] === 0) continue;
				left[i - base]! -= 1;
				thin[i] = 0;
			}
		}
	}
}
