import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';
import { fieldSpots } from './bareSpots';
import { cielabOf } from './cielab';
import { type BareSpot, type Falloff, fitFalloff } from './falloff';
import type { Gains } from './fitGreys';

/** What a plain tray's own colour tells about the light. */
export interface PlainSurfaceLight {
  readonly gains: Gains;
  readonly falloff?: Falloff;
}

/**
 * Largest CIELAB chroma, as shot, of a surface that is believed to be neutral under a tinted lamp. A phone leaves a tenth
 * or two of a lamp's tint in the picture; a coloured tray shows far more. Chosen by eye, bounded by
 * tests/colour/plainSurface.test.ts.
 */
const NEUTRAL_CHROMA = 10;

/** The floor's colour must fill this share of the field to be told from the pieces. */
const LEAST_SHARE = 0.15;

/** Cell of the search for the commonest colour, in log light: brightness, and the two ratios to green. */
const CELL = [0.12, 0.06, 0.06] as const;

/** The light is followed across the floor only if the floor is even: this share of spots on one smooth surface. */
const SMOOTH_SHARE = 0.3;
const SMOOTH_SCATTER = 0.025;

/**
 * Light from a tray's own colour, where that is neutral: gains that make it grey at unchanged luminance, since a tray's
 * reflectance is not known.
 *
 * The surface's colour is the commonest colour in the field. Its fall-off is followed only if it is even, as painted and
 * plastic trays are and bare steel is not.
 *
 * @returns undefined where no colour stands out or it is not neutral
 */
export function plainSurfaceLight(raster: Raster, surface: Surface): PlainSurfaceLight | undefined {
  const spots = fieldSpots(raster, surface);
  const floor = commonest(spots);
  if (floor.length < LEAST_SHARE * spots.length || floor.length < 50) return undefined;
  const [r, g, b] = [0, 1, 2].map((c) => Math.exp(median(floor.map((s) => s.log[c]!)))) as [number, number, number];
  const { a, b: yellow } = cielabOf(r, g, b);
  if (Math.hypot(a, yellow) > NEUTRAL_CHROMA) return undefined;
  const luminance = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  const gains: Gains = [luminance / r, luminance / g, luminance / b];
  const sure = new Set(floor);
  const fit = fitFalloff(
    spots.map((s) => ({ ...s, sure: sure.has(s) })),
    surface,
    { x: surface.fieldWidthMm / 2, y: surface.fieldHeightMm / 2 },
  );
  const even = fit && fit.keptShare > SMOOTH_SHARE && fit.scatter < SMOOTH_SCATTER;
  return even ? { gains, falloff: fit.falloff } : { gains };
}

/** Spots in and around the fullest cell of log brightness and log ratios. */
function commonest(spots: readonly BareSpot[]): BareSpot[] {
  const cells = new Map<string, number>();
  const cellOf = ({ log: [r, g, b] }: BareSpot) => [
    Math.floor(g / CELL[0]),
    Math.floor((r - g) / CELL[1]),
    Math.floor((b - g) / CELL[2]),
  ];
  for (const spot of spots) {
    const key = cellOf(spot).join();
    cells.set(key, (cells.get(key) ?? 0) + 1);
  }
  const fullest = [...cells.entries()].sort((p, q) => q[1] - p[1])[0]?.[0];
  if (fullest === undefined) return [];
  const middle = fullest.split(',').map(Number);
  return spots.filter((spot) => cellOf(spot).every((v, i) => Math.abs(v - middle[i]!) <= (i === 0 ? 2 : 1)));
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((p, q) => p - q);
  return sorted[sorted.length >> 1] ?? 0;
}
