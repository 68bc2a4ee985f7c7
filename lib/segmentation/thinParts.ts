import { BACKGROUND, UNJUDGED } from '../material/classes';

/** Parts narrower than this square somewhere, px, count as thin. */
const SQUARE = 5;

/**
 * Parts of pieces too thin to hold a square of 5 x 5 pixels: strands whose rim pixels are a large part of their area.
 *
 * @returns the label where the part is thin, else 0; height x width
 */
export function thinParts(labels: Uint8Array, width: number, height: number): Uint8Array {
  const thin = isThinnerThan(SQUARE, labels, width, height);
  // Hot loop: in place, a label where there was a 1.
  for (let i = 0; i < thin.length; i++) if (thin[i] === 1) thin[i] = labels[i] === UNJUDGED ? BACKGROUND : labels[i]!;
  return thin;
}

/**
 * 1 where no square of `side` x `side` pixels of one label covers the pixel; height x width.
 *
 * @param side - odd
 * @source morphological opening with a square (J. Serra, Image Analysis and Mathematical Morphology, 1982, from memory)
 */
export function isThinnerThan(side: number, labels: Uint8Array, width: number, height: number): Uint8Array {
  // Hot loops, separable: how long each label runs along rows, then along columns; where a square ends, its columns are marked by
  // 0, and from the bottom up the marks are drawn out to its height.
  const thin = new Uint8Array(labels.length).fill(1);
  const runDown = new Uint16Array(width);
  for (let row = 0; row < height; row++) {
    const base = row * width;
    let runAcross = 0;
    let last = -1;
    for (let column = 0; column < width; column++) {
      const i = base + column;
      const label = labels[i]!;
      if (label === BACKGROUND) {
        runAcross = 0;
        runDown[column] = 0;
        last = BACKGROUND;
        continue;
      }
      runAcross = label === last ? runAcross + 1 : 1;
      last = label;
      // a square's upper rows ran on in the same label
      if (runAcross < side) runDown[column] = 0;
      else runDown[column] = row > 0 && labels[i - width] === label ? runDown[column]! + 1 : 1;
      if (runDown[column]! >= side) for (let k = 0; k < side; k++) thin[i - k] = 0;
    }
  }
  const left = new Uint16Array(width);
  for (let row = height - 1; row >= 0; row--) {
    const base = row * width;
    for (let column = 0; column < width; column++) {
      if (thin[base + column] === 0) left[column] = side;
      if (left[column] === 0) continue;
      left[column]! -= 1;
      thin[base + column] = 0;
    }
  }
  return thin;
}
