import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { CLASS_STYLES, UNJUDGED_STYLE } from './classPalette';

/**
 * Fully opaque pixels in the order red, green, blue, alpha of a canvas, by class code. Bare surface beside a piece is black, so that
 * the piece's colour shows on any ground.
 */
const COLOURS = (() => {
  const words = new Uint32Array(256);
  const bytes = new Uint8Array(words.buffer);
  const set = (code: number, colour: string) =>
    bytes.set([1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16)).concat(255), 4 * code);
  set(BACKGROUND, '#000000');
  for (const name of MATERIAL_CLASSES) set(CLASS_CODE[name], CLASS_STYLES[name].colour);
  set(UNJUDGED, UNJUDGED_STYLE.colour);
  return words;
})();
/**
 * The edges of a label picture as pixels of a canvas (red, green, blue, alpha), the rest clear: each piece's outermost pixels in its
 * class's colour, the bare pixels beside them black. Quick enough to follow a finger.
 *
 * @param labels - class codes, height x width
 */
export function edgePicture(labels: Uint8Array, width: number, height: number): Uint8ClampedArray<ArrayBuffer> {
  const out = new Uint32Array(width * height);
  // Hot loop: wherever a pixel differs from the one to its right or below it, both are edges.
  for (let row = 0; row < height; row++) {
    const down = row < height - 1 ? width : 0;
    const last = row * width + width - 1;
    let label = labels[row * width]!;
    for (let i = row * width; i <= last; i++) {
      const right = i < last ? labels[i + 1]! : label;
      const below = labels[i + down]!;
      if (label !== right) {
        out[i] = COLOURS[label]!;
        out[i + 1] = COLOURS[right]!;
      }
      if (label !== below) {
        out[i] = COLOURS[label]!;
        out[i + down] = COLOURS[below]!;
      }
      label = right;
    }
  }
  return new Uint8ClampedArray(out.buffer);
}
