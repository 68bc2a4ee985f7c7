import { type Cielab, cielabOf } from './cielab';
import { ciede2000, lightnessDifference } from './difference';
import type { GreyReading } from './greyPatches';
import { STRAIGHT, type Tone, unbend } from './tone';

export type Gains = readonly [red: number, green: number, blue: number];

type Channels = readonly [red: number, green: number, blue: number];

/** A tone curve, and each neutral's level with the curve undone and the light that fell on it taken off. */
interface Undone {
  readonly tone: Tone;
  readonly levels: readonly Channels[];
}

/** What neutrals ought to read. */
interface Known {
  readonly reflectance: readonly number[];
  readonly colour: readonly Cielab[];
}

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
const TONES: readonly Tone[] = CONTRASTS.flatMap((contrast) => KNEES.map((knee) => ({ contrast, knee })));

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
  const known: Known = {
    reflectance: readings.map((grey) => grey.reflectance),
    colour: readings.map((grey) => neutral(grey.reflectance)),
  };
  const all = readings.map((_, i) => i);
  const straight = undone(readings, light, STRAIGHT);
  const plain: GreyFit = {
    gains: gainsOf(known, straight, all),
    tone: STRAIGHT,
    residual: leftOut(known, all, () => straight),
  };
  if (readings.length < LEAST_FOR_TONE) return plain;
  const curves = [straight];
  for (const tone of TONES) curves.push(undone(readings, light, tone));
  const residual = leftOut(known, all, (greys) => bestCurve(known, curves, greys));
  if (!(residual < plain.residual)) return plain;
  const best = bestCurve(known, curves, all);
  return { gains: gainsOf(known, best, all), tone: best.tone, residual };
}

function undone(readings: readonly GreyReading[], light: readonly Channels[] | undefined, tone: Tone): Undone {
  const levels: Channels[] = [];
  for (let i = 0; i < readings.length; i++) {
    const [r, g, b] = readings[i]!.linear;
    const [red, green, blue] = light?.[i] ?? EVEN;
    levels.push([unbend(r, tone) / red, unbend(g, tone) / green, unbend(b, tone) / blue]);
  }
  return { tone, levels };
}

/** Summed reflectance over summed light, per channel: bright neutrals, which are read best, weigh most. */
function gainsOf({ reflectance }: Known, { levels }: Undone, greys: readonly number[]): Gains {
  let sum = 0;
  let [red, green, blue] = [0, 0, 0];
  for (const i of greys) {
    sum += reflectance[i]!;
    const [r, g, b] = levels[i]!;
    red += r;
    green += g;
    blue += b;
  }
  return [sum / red, sum / green, sum / blue];
}

/** The curve that brings some neutrals nearest to what they ought to read; the first of equals. */
function bestCurve(known: Known, curves: readonly Undone[], greys: readonly number[]): Undone {
  let best = curves[0]!;
  let least = Number.POSITIVE_INFINITY;
  for (const curve of curves) {
    const now = misfit(known, curve, greys, greys, least);
    if (now < least) {
      best = curve;
      least = now;
    }
  }
  return best;
}

/** Mean difference of each neutral when the fit has not seen it. */
function leftOut(known: Known, greys: readonly number[], curveOf: (greys: readonly number[]) => Undone): number {
  if (greys.length < 2) return misfit(known, curveOf(greys), greys, greys);
  const each = greys.map((grey) => {
    const others = greys.filter((g) => g !== grey);
    return misfit(known, curveOf(others), others, [grey]);
  });
  return each.reduce((s, v) => s + v, 0) / each.length;
}

/** By more than rounding can be off. */
const ROUNDING = 1e-9;

/** Mean difference of the neutrals judged, with gains from those fitted; not worked out to its end where it is past `enough`. */
function misfit(
  known: Known,
  curve: Undone,
  fitted: readonly number[],
  judged: readonly number[],
  enough = Number.POSITIVE_INFINITY,
): number {
  const [red, green, blue] = gainsOf(known, curve, fitted);
  const past = enough * judged.length + ROUNDING;
  let sum = 0;
  for (const i of judged) {
    const [r, g, b] = curve.levels[i]!;
    const seen = cielabOf(red * r, green * g, blue * b);
    // lightness alone says of most curves that they are past it
    if (sum + lightnessDifference(seen, known.colour[i]!) > past) return Number.POSITIVE_INFINITY;
    sum += ciede2000(seen, known.colour[i]!);
  }
  return sum / judged.length;
}

function neutral(reflectance: number): Cielab {
  return cielabOf(reflectance, reflectance, reflectance);
}

function steps(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
}
