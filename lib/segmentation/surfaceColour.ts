import { cielabOf, linearOfCielab } from '../colour/cielab';
import type { ColourPatch } from '../material/material';
import { CELLS, type Cells, reflectanceOfCell } from './cells';

/** Bin width of the search for the commonest colour, CIELAB units. */
const BIN = 4;
/** Colours this near the commonest one are averaged to the surface's colour. */
const NEAR = 8;
/** The mat is white paper: its colour is looked for above this lightness. */
const PAPER_LIGHTNESS = 70;

/**
 * How much light still reaches the bare surface, from open to the core of a shadow between pieces, and how often. Diffuse
 * light falls off gradually near pieces; a cast shadow keeps the sky's share of the light. Wide on purpose; the weights
 * are only where the fit to the photo starts.
 */
const SHADES = [
  { light: 1, share: 0.55, spreadL: 4 },
  { light: 0.8, share: 0.15, spreadL: 5 },
  { light: 0.62, share: 0.12, spreadL: 6 },
  { light: 0.45, share: 0.1, spreadL: 7 },
  { light: 0.3, share: 0.08, spreadL: 8 },
] as const;
/** Scatter of a* and b* of a bare surface: grain, noise, mirrored surroundings. */
const SPREAD_A = 3;
const SPREAD_B = 4;

/** A colour of the material or the surface with how common it is, as a share of its class. */
export type SharedPatch = ColourPatch & { readonly share: number };

/**
 * The bare surface's colours on this photo: its commonest colour, in the open and in shadow.
 *
 * Learnt from the photo itself, so that a tray of any colour will do: a bare surface is even, so it heaps up in one place
 * while pieces scatter. Shadows keep the surface's hue and lose light.
 * Limit: where pieces hide more than some three quarters of the surface, the commonest colour may be theirs.
 *
 * @param kind - a mat is looked for among light colours only
 * @returns none where no pixel can be the surface
 */
export function surfacePatches(cells: Cells, kind: 'mat' | 'tray'): SharedPatch[] {
  const colours = coloursIn(cells).filter(({ L }) => kind === 'tray' || L >= PAPER_LIGHTNESS);
  const heaps = new Map<string, number>();
  let best: { readonly key: string; readonly count: number } | undefined;
  for (const { L, a, b, count } of colours) {
    const key = [L, a, b].map((v) => Math.round(v / BIN)).join();
    const heap = (heaps.get(key) ?? 0) + count;
    heaps.set(key, heap);
    if (best === undefined || heap > best.count) best = { key, count: heap };
  }
  if (best === undefined) return [];
  const [L, a, b] = best.key.split(',').map((v) => Number(v) * BIN) as [number, number, number]; // made of three above
  const centre = meanNear(colours, L, a, b);
  const [red, green, blue] = linearOfCielab(centre);
  return SHADES.map(({ light, share, spreadL }) => ({
    name: `surface in ${light} of the light`,
    centre: cielabOf(red * light, green * light, blue * light),
    covariance: [spreadL ** 2, 0, 0, SPREAD_A ** 2, 0, SPREAD_B ** 2],
    share,
  }));
}

interface Coloured {
  readonly L: number;
  readonly a: number;
  readonly b: number;
  readonly count: number;
}

function coloursIn({ count }: Cells): Coloured[] {
  const colours: Coloured[] = [];
  for (let cell = 0; cell < CELLS; cell++) {
    if (count[cell] === 0) continue;
    colours.push({ ...cielabOf(...reflectanceOfCell(cell)), count: count[cell]! });
  }
  return colours;
}

function meanNear(colours: readonly Coloured[], L: number, a: number, b: number): { L: number; a: number; b: number } {
  const sum = { L: 0, a: 0, b: 0, n: 0 };
  for (const c of colours) {
    if (Math.hypot(c.L - L, c.a - a, c.b - b) > NEAR) continue;
    sum.L += c.count * c.L;
    sum.a += c.count * c.a;
    sum.b += c.count * c.b;
    sum.n += c.count;
  }
  return sum.n === 0 ? { L, a, b } : { L: sum.L / sum.n, a: sum.a / sum.n, b: sum.b / sum.n };
}
