import { joinRuns, type Runs, runsOf } from './labelRuns';

/** Fewest pixels that a lens and a colour filter array resolve as a spot of their own: some two by two. */
const LEAST_PIXELS = 4;

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
  const runs = runsOf(labels, width, height, inside);
  const { count, region } = joinRuns(runs);
  const size = new Uint32Array(count + 1);
  const label = new Uint8Array(count + 1);
  for (let run = 0; run < runs.count; run++) {
    size[region[run]!]! += runs.end[run]! - runs.start[run]!;
    label[region[run]!] = runs.label[run]!;
  }
  const wanted = new Uint8Array(count + 1);
  for (let id = 1; id <= count; id++)
    if (size[id]! < LEAST_PIXELS || (label[id] === unjudged && size[id]! <= mostGlintPx)) wanted[id] = 1;
  const touches = countTouches(runs, region, wanted, labels, inside);
  const becomes = label.slice();
  for (const [id, counted] of touches) becomes[id] = choose(counted, label[id]!, unjudged);
  const out = labels.slice();
  for (let run = 0; run < runs.count; run++) {
    const id = region[run]!;
    if (wanted[id] === 1) out.fill(becomes[id]!, runs.start[run]!, runs.end[run]!);
  }
  return out;
}

/** Share of the border that one class must hold for a patch of lost colour to take it. */
const SURROUNDED = 2 / 3;

/** For the wanted regions, how often their pixels touch each other label by a side. */
function countTouches(
  runs: Runs,
  region: Int32Array,
  wanted: Uint8Array,
  labels: Uint8Array,
  inside: Uint8Array,
): Map<number, Map<number, number>> {
  const { width, start, end } = runs;
  const touches = new Map<number, Map<number, number>>();
  for (let run = 0; run < runs.count; run++) {
    const id = region[run]!;
    if (wanted[id] === 0) continue;
    const counted = touches.get(id) ?? new Map<number, number>();
    touches.set(id, counted);
    const own = runs.label[run]!;
    for (let i = start[run]!; i < end[run]!; i++) {
      const column = i % width;
      const sides = [column > 0 ? i - 1 : -1, column < width - 1 ? i + 1 : -1, i - width, i + width];
      for (const j of sides) {
        // side neighbours of one label are of one region
        if (j < 0 || j >= labels.length || inside[j] === 0 || labels[j] === own) continue;
        counted.set(labels[j]!, (counted.get(labels[j]!) ?? 0) + 1);
      }
    }
  }
  return touches;
}

/** The label that most of the border touches; for lost colour only where it surrounds the patch. */
function choose(counted: ReadonlyMap<number, number>, own: number, unjudged: number): number {
  let best = own;
  let most = 0;
  let all = 0;
  for (const [label, touched] of counted) {
    all += touched;
    if (label !== unjudged && touched > most) {
      best = label;
      most = touched;
    }
  }
  if (own === unjudged && most < SURROUNDED * all) return own;
  return best;
}
