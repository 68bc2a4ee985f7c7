import { UNJUDGED } from '../material/classes';
import { type Runs, runsOf } from './labelRuns';

/** Parts narrower than this square somewhere, px, count as thin. */
const SQUARE = 5;

/**
 * Parts of pieces too thin to hold a square of 5 x 5 pixels: strands whose rim pixels are a large part of their area.
 *
 * @returns the label where the part is thin, else 0; height x width
 */
export function thinParts(
  labels: Uint8Array,
  width: number,
  height: number,
  runs = runsOf(labels, width, height),
): Uint8Array {
  const thin = labels.slice();
  leaveSquaresOut(thin, SQUARE, labels, runs);
  for (let run = 0; run < runs.count; run++)
    if (runs.label[run] === UNJUDGED) thin.fill(0, runs.start[run]!, runs.end[run]!);
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
