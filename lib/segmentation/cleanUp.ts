import { labelRegions } from './labelRegions';

/** Fewest pixels that a lens and a colour filter array resolve as a spot of their own: some two by two. */
const LEAST_PIXELS = 4;
/** Stand-in for label 0, which the region finder leaves out. */
const SHIFT = 1;

/**
 * Give specks smaller than the optics resolve, and patches of lost colour, the class around them.
 *
 * A shiny spot inside a piece belongs to the piece; one between pieces of several classes stays unjudged, and so does a
 * large one. A speck goes to the label that most of its border touches.
 *
 * @param labels - class codes, height x width; not changed
 * @param inside - 1 in the field; other pixels are left out and stay as they are
 * @param unjudged - the code of lost colour
 * @param mostGlintPx - largest patch of lost colour that may take the class around it, pixels
 * @returns cleaned class codes
 */
export function cleanUp(
  labels: Uint8Array,
  inside: Uint8Array,
  width: number,
  height: number,
  unjudged: number,
  mostGlintPx: number,
): Uint8Array {
  const out = Uint8Array.from(labels);
  // Shifted by one so that the surface (0) has regions too; 0 is then the world outside the field.
  const shifted = new Uint8Array(labels.length);
  for (let i = 0; i < shifted.length; i++)
    if (inside[i] !== 0) shifted[i] = labels[i] === unjudged ? UNJUDGED_SHIFTED : labels[i]! + SHIFT;
  const { ids, count } = labelRegions(shifted, width, height);
  const size = new Uint32Array(count + 1);
  const label = new Uint8Array(count + 1);
  for (let i = 0; i < ids.length; i++) {
    size[ids[i]!]! += 1;
    label[ids[i]!] = shifted[i]!;
  }
  const wanted = new Uint8Array(count + 1);
  for (let id = 1; id <= count; id++)
    if (size[id]! < LEAST_PIXELS || (label[id] === UNJUDGED_SHIFTED && size[id]! <= mostGlintPx)) wanted[id] = 1;
  const touches = countTouches(ids, shifted, width, height, wanted);
  const becomes = new Uint8Array(count + 1);
  for (let id = 1; id <= count; id++) {
    const counted = touches.get(id);
    becomes[id] = counted === undefined ? label[id]! : choose(counted, label[id]!);
  }
  for (let i = 0; i < out.length; i++) {
    const id = ids[i]!;
    if (id !== 0 && becomes[id] !== label[id]) out[i] = becomes[id]! - SHIFT;
  }
  return out;
}

const UNJUDGED_SHIFTED = 255;
/** Share of the border that one class must hold for a patch of lost colour to take it. */
const SURROUNDED = 2 / 3;

/** For the wanted regions, how often their pixels touch each label by a side. */
function countTouches(
  ids: Int32Array,
  labels: Uint8Array,
  width: number,
  height: number,
  wanted: Uint8Array,
): Map<number, Map<number, number>> {
  const touches = new Map<number, Map<number, number>>();
  for (let i = 0; i < ids.length; i++) {
    const id = ids[i]!;
    if (wanted[id] === 0) continue;
    const counted = touches.get(id) ?? new Map<number, number>();
    touches.set(id, counted);
    const column = i % width;
    const sides = [column > 0 ? i - 1 : -1, column < width - 1 ? i + 1 : -1, i - width, i + width];
    for (const j of sides) {
      if (j < 0 || j >= width * height || ids[j] === id || labels[j] === 0) continue;
      counted.set(labels[j]!, (counted.get(labels[j]!) ?? 0) + 1);
    }
  }
  return touches;
}

/** The label that most of the border touches; for lost colour only where it surrounds the patch. */
function choose(counted: ReadonlyMap<number, number>, own: number): number {
  let best = own;
  let most = 0;
  let all = 0;
  for (const [label, touched] of counted) {
    all += touched;
    if (label !== UNJUDGED_SHIFTED && touched > most) {
      best = label;
      most = touched;
    }
  }
  if (own === UNJUDGED_SHIFTED && most < SURROUNDED * all) return own;
  return best;
}
