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
  return labels.map((label, i) => (label === UNJUDGED || thin[i] === 0 ? BACKGROUND : label));
}

/**
 * 1 where no square of `side` x `side` pixels of one label covers the pixel; height x width.
 *
 * @param side - odd
 * @source morphological opening with a square (J. Serra, Image Analysis and Mathematical Morphology, 1982, from memory)
 */
export function isThinnerThan(side: number, labels: Uint8Array, width: number, height: number): Uint8Array {
  const reach = side >> 1;
  // Hot loops, separable: runs along rows, then along columns, then the squares that fit are painted back.
  const alongRow = new Uint8Array(labels.length);
  for (let row = 0; row < height; row++) {
    let run = 0;
    for (let i = row * width; i < (row + 1) * width; i++) {
      run = i > row * width && labels[i] === labels[i - 1] ? run + 1 : 1;
      if (run >= side) alongRow[i - reach] = 1;
    }
  }
  const thin = new Uint8Array(labels.length).fill(1);
  const run = new Uint16Array(width);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const i = row * width + column;
      const goesOn = row > 0 && alongRow[i] === 1 && labels[i] === labels[i - width];
      run[column] = alongRow[i] === 0 ? 0 : goesOn ? run[column]! + 1 : 1;
      if (run[column]! < side || labels[i] === BACKGROUND) continue;
      for (let y = row - side + 1; y <= row; y++)
        thin.fill(0, y * width + column - reach, y * width + column + reach + 1);
    }
  }
  return thin;
}
