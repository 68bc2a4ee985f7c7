import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { labelRegions } from '../segmentation/labelRegions';
import { CLASS_STYLES, type ClassStyle, UNJUDGED_STYLE } from './classPalette';

/** A loop of points round a region, pixels; holes run the other way round. */
type Loop = readonly (readonly [number, number])[];

/** Each code that is drawn, with its style. */
const DRAWN: readonly (readonly [number, ClassStyle])[] = [
  ...MATERIAL_CLASSES.map((name) => [CLASS_CODE[name], CLASS_STYLES[name]] as const),
  [UNJUDGED, UNJUDGED_STYLE],
];

/**
 * Outlines of all pieces as a drawing to lay over the photo: from outside in a white line, a black one, and one in the class's
 * colour with the class's own dashes, so that they show on any colour and in grey. The pieces themselves stay visible.
 *
 * @param codes - class codes, width x height, row-major
 * @param lineWidth - of each line, pixels
 * @param smooth - half-width, pixels, of the running mean that takes the steps out of enlarged outlines; 0 leaves them
 * @returns SVG
 */
export function classOutlines(
  codes: Uint8Array,
  width: number,
  height: number,
  lineWidth: number,
  smooth: number,
): string {
  const paths = DRAWN.map(([code, style]) => ({
    style,
    path: pathOf(loopsOf(codes, width, height, code).map((loop) => smoothed(loop, smooth))),
  })).filter(({ path }) => path !== '');
  const all = paths.map(({ path }) => path).join('');
  const number = (value: number) => value.toFixed(2);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" fill="none" stroke-linejoin="round">`,
    `<clipPath id="bare"><path clip-rule="evenodd" d="M0 0H${width}V${height}H0Z${all}"/></clipPath>`,
    `<g clip-path="url(#bare)"><path d="${all}" stroke="#fff" stroke-width="${number(5 * lineWidth)}"/>`,
    `<path d="${all}" stroke="#000" stroke-width="${number(3 * lineWidth)}"/></g>`,
    ...paths.map(({ style, path }) => {
      const dash = style.dash
        .split(' ')
        .filter(Boolean)
        .map((part) => number(Number(part) * lineWidth))
        .join(' ');
      const dashed = dash === '' ? '' : ` stroke-dasharray="${dash}"`;
      return `<path d="${path}" stroke="${style.colour}" stroke-width="${number(1.4 * lineWidth)}"${dashed}/>`;
    }),
    '</svg>',
  ].join('');
}

/**
 * Closed loops along the pixel edges of all pixels of one code, the code's side on the right.
 *
 * @source boundary following by crack edges: A. Rosenfeld, A. Kak, Digital Picture Processing (1982), from memory
 */
export function loopsOf(codes: Uint8Array, width: number, height: number, code: number): readonly Loop[] {
  const across = width + 1;
  const onward = new CornerEdges(across * (height + 1));
  const is = (x: number, y: number) => x >= 0 && y >= 0 && x < width && y < height && codes[y * width + x] === code;
  // hot loop over the picture
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (codes[y * width + x] !== code) continue;
      const corner = y * across + x;
      if (!is(x, y - 1)) onward.add(corner, corner + 1);
      if (!is(x + 1, y)) onward.add(corner + 1, corner + across + 1);
      if (!is(x, y + 1)) onward.add(corner + across + 1, corner + across);
      if (!is(x - 1, y)) onward.add(corner + across, corner);
    }
  }
  const loops: (readonly [number, number])[][] = [];
  for (const start of onward.starts) {
    let at = onward.take(start);
    if (at < 0) continue;
    const loop: (readonly [number, number])[] = [[start % across, Math.floor(start / across)]];
    for (; at !== start; at = onward.take(at)) loop.push([at % across, Math.floor(at / across)]);
    loops.push(loop);
  }
  return loops;
}

/** Where the edges that begin at each pixel corner lead: at most two, since every corner has four pixels. */
class CornerEdges {
  readonly starts: number[] = [];
  private readonly first: Int32Array;
  private readonly second: Int32Array;
  constructor(corners: number) {
    this.first = new Int32Array(corners).fill(-1);
    this.second = new Int32Array(corners).fill(-1);
  }
  add(from: number, to: number): void {
    this.starts.push(from);
    (this.first[from]! < 0 ? this.first : this.second)[from] = to;
  }
  /** The next edge from a corner, which is used up by this; -1 where none is left. */
  take(from: number): number {
    const edges = this.second[from]! < 0 ? this.first : this.second;
    const to = edges[from]!;
    edges[from] = -1;
    return to;
  }
}

/** Running mean along the loop, every `half`-th point kept. */
function smoothed(loop: Loop, half: number): Loop {
  if (half < 1 || loop.length < 4 * half) return loop.filter((point, i) => isCorner(loop, point, i));
  const n = loop.length;
  const window = 2 * half + 1;
  return Array.from({ length: Math.floor(n / half) }, (_, part) => {
    let [x, y] = [0, 0];
    for (let k = -half; k <= half; k++) {
      const point = loop[(part * half + k + n) % n]!;
      x += point[0];
      y += point[1];
    }
    return [x / window, y / window] as const;
  });
}

/** Points on a straight line between their neighbours draw nothing. */
function isCorner(loop: Loop, [x, y]: Loop[number], i: number): boolean {
  const before = loop[(i - 1 + loop.length) % loop.length]!;
  const after = loop[(i + 1) % loop.length]!;
  return !((before[0] === x && after[0] === x) || (before[1] === y && after[1] === y));
}

function pathOf(loops: readonly Loop[]): string {
  const number = (value: number) => String(Number(value.toFixed(1)));
  return loops.map((loop) => `M${loop.map(([x, y]) => `${number(x)} ${number(y)}`).join('L')}Z`).join('');
}

/** A class's letter on a piece; x and y as fractions of the picture's width and height. */
export interface PieceLetter {
  readonly letter: string;
  readonly x: number;
  readonly y: number;
}

/** Letters on one picture, at most; more would hide the pieces. */
const MOST_LETTERS = 60;

/**
 * Where to write the class's letter: on the largest pieces, at their middle, no two close together.
 *
 * @param leastPx - pieces of fewer pixels get no letter
 */
export function pieceLetters(
  codes: Uint8Array,
  width: number,
  height: number,
  leastPx: number,
): readonly PieceLetter[] {
  const { count, ids } = labelRegions(codes, width, height);
  const sums = new Float64Array(3 * (count + 1));
  const codeOf = new Uint8Array(count + 1);
  for (let i = 0; i < ids.length; i++) {
    const id = ids[i]!;
    if (id === 0) continue;
    codeOf[id] = codes[i]!;
    sums[3 * id]! += 1;
    sums[3 * id + 1]! += i % width;
    sums[3 * id + 2]! += Math.floor(i / width);
  }
  const pieces = Array.from({ length: count }, (_, i) => i + 1)
    .map((id) => ({
      id,
      px: sums[3 * id]!,
      x: sums[3 * id + 1]! / sums[3 * id]!,
      y: sums[3 * id + 2]! / sums[3 * id]!,
    }))
    .filter(({ id, px, x, y }) => px >= leastPx && ids[Math.round(y) * width + Math.round(x)] === id)
    .sort((a, b) => b.px - a.px);
  const placed: PieceLetter[] = [];
  for (const { id, x, y } of pieces) {
    const letter = DRAWN.find(([code]) => code === codeOf[id] && code !== BACKGROUND)?.[1].letter;
    const at = { x: thousandth((x + 0.5) / width), y: thousandth((y + 0.5) / height) };
    const isFree = placed.every((one) => Math.hypot(one.x - at.x, ((one.y - at.y) * height) / width) > 0.06);
    if (letter === undefined || !isFree) continue;
    placed.push({ letter, ...at });
    if (placed.length === MOST_LETTERS) break;
  }
  return placed;
}

function thousandth(fraction: number): number {
  return Math.round(1000 * fraction) / 1000;
}
