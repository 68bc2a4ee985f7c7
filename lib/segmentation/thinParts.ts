import { BACKGROUND, UNJUDGED } from '../material/classes';

/** Parts narrower than this square somewhere, px, count as thin. */
const SQUARE = 5;

/**
 * Parts of pieces too thin to hold a square of 5 x 5 pixels: strands whose rim pixels are a large part of their area.
 *
 * @returns the label where the part is thin, else 0; height x width
 * @source morphological opening with a square (J. Serra, Image Analysis and Mathematical Morphology, 1982, from memory)
 */
export function thinParts(labels: Uint8Array, width: number, height: number): Uint8Array {
  const reach = SQUARE >> 1;
  // Hot loops, separable: runs along rows, then along columns, then the squares that fit are painted back.
  const alongRow = new Uint8Array(labels.length);
  for (let row = 0; row < height; row++) {
    let run = 0;
    for (let i = row * width; i < (row + 1) * width; i++) {
      run = i > row * width && labels[i] === labels[i - 1] ? run + 1 : 1;
      if (run >= SQUARE) alongRow[i - reach] = 1;
    }
  }
  const painted = new Uint8Array(labels.length);
  const run = new Uint16Array(width);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const i = row * width + column;
      const goesOn = row > 0 && alongRow[i] === 1 && labels[i] === labels[i - width];
      run[column] = alongRow[i] === 0 ? 0 : goesOn ? run[column]! + 1 : 1;
      if (run[column]! < SQUARE || labels[i] === BACKGROUND) continue;
      for (let y = row - SQUARE + 1; y <= row; y++)
        painted.fill(1, y * width + column - reach, y * width + column + reach + 1);
    }
  }
  return labels.map((label, i) => (label === UNJUDGED || painted[i] === 1 ? BACKGROUND : label));
}
