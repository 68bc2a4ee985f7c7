import { type Cielab, cielabOf } from './cielab';
import { ciede2000 } from './difference';
import type { GreyReading } from './greyPatches';
import { STRAIGHT, type Tone, unbend } from './tone';

export type Gains = readonly [red: number, green: number, blue: number];

type Channels = readonly [red: number, green: number, blue: number];

/** A reading, and the light that fell on it. */
type Lit = GreyReading & { readonly light: Channels };

const EVEN: Channels = [1, 1, 1];

/** What neutrals of known reflectance tell about the light and the camera. */
export interface GreyFit {
  /** Multiply straightened linear light by these. */
  readonly gains: Gains;
  readonly tone: Tone;
  /** Mean CIEDE2000 of each neutral predicted from the others, or of the fit itself where only one is left. */
  readonly residual: number;
}

/** Least neutrals for a tone curve: two shape numbers and a level need one to spare. */
const LEAST_FOR_TONE = 4;

/** Search range of the tone curve. Wider ranges fit the neutrals better and other colours worse (real chart photos). */
const CONTRASTS = steps(-0.4, 0.8, 13);
const KNEES = [...steps(0.4, 0.9, 11), 1];

/**
 * Gain per channel from neutrals, and a tone curve where leaving each neutral out in turn says that it pays.
 *
 * The gains make the neutrals' summed light equal to their summed reflectance (von Kries). The tone curve has two shape
 * numbers and is monotone by construction; it is kept only if it predicts left-out neutrals better than gains alone.
 *
 * @param light - light at each neutral relative to the place where it is called 1; even if absent
 * @returns undefined without a single usable neutral
 * @source gains: J. von Kries 1902, in the form of chart practice; leave-one-out: M. Stone 1974 (from memory)
 */
export function fitGreys(readings: readonly GreyReading[], light?: readonly Channels[]): GreyFit | undefined {
  if (readings.length === 0) return undefined;
  const greys = readings.map((grey, i) => ({ ...grey, light: light?.[i] ?? EVEN }));
  const plain: GreyFit = { gains: gainsOf(greys, STRAIGHT), tone: STRAIGHT, residual: leftOut(greys, () => STRAIGHT) };
  if (greys.length < LEAST_FOR_TONE) return plain;
  const residual = leftOut(greys, bestTone);
  if (!(residual < plain.residual)) return plain;
  const tone = bestTone(greys);
  return { gains: gainsOf(greys, tone), tone, residual };
}

/** Summed reflectance over summed light, per channel: bright neutrals, which are read best, weigh most. */
function gainsOf(greys: readonly Lit[], tone: Tone): Gains {
  const reflectance = greys.reduce((s, g) => s + g.reflectance, 0);
  const [r, g, b] = [0, 1, 2].map(
    (c) => reflectance / greys.reduce((s, grey) => s + unbend(grey.linear[c]!, tone) / grey.light[c]!, 0),
  ) as [number, number, number];
  return [r, g, b];
}

function bestTone(greys: readonly Lit[]): Tone {
  let best = STRAIGHT;
  let least = misfit(greys, greys, STRAIGHT);
  for (const contrast of CONTRASTS) {
    for (const knee of KNEES) {
      const tone = { contrast, knee };
      const now = misfit(greys, greys, tone);
      if (now < least) {
        best = tone;
        least = now;
      }
    }
  }
  return best;
}

/** Mean difference of each neutral when the fit has not seen it. */
function leftOut(greys: readonly Lit[], toneOf: (greys: readonly Lit[]) => Tone): number {
  if (greys.length < 2) return misfit(greys, greys, STRAIGHT);
  const each = greys.map((grey) => {
    const others = greys.filter((g) => g !== grey);
    return misfit(others, [grey], toneOf(others));
  });
  return each.reduce((s, v) => s + v, 0) / each.length;
}

function misfit(fitted: readonly Lit[], judged: readonly Lit[], tone: Tone): number {
  const gains = gainsOf(fitted, tone);
  const sum = judged.reduce((s, grey) => s + ciede2000(corrected(grey, gains, tone), neutral(grey.reflectance)), 0);
  return sum / judged.length;
}

function corrected(grey: Lit, gains: Gains, tone: Tone): Cielab {
  const [r, g, b] = grey.linear.map((v, c) => (gains[c]! * unbend(v, tone)) / grey.light[c]!) as [
    number,
    number,
    number,
  ];
  return cielabOf(r, g, b);
}

function neutral(reflectance: number): Cielab {
  return cielabOf(reflectance, reflectance, reflectance);
}

function steps(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
}
