import { type Cielab, cielabOf, lightnessOf } from './cielab';
import { ciede2000, lightnessDifference } from './difference';
import type { GreyReading } from './greyPatches';
import { rollBack, STRAIGHT, straighten, type Tone } from './tone';

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
	const curves = curvesUnder(light, unbent(readings));
	const [straight] = curves;
	const plain: GreyFit = {
		gains: gainsOf(known, straight, all),
		tone: STRAIGHT,
		residual: leftOut(known, all, () => straight),
	};
	if (readings.length < LEAST_FOR_TONE) return plain;
	let last = bestCurve(known, curves, all, straight);
	const best = last;
	const residual = leftOut(known, all, (greys) => {
		last = bestCurve(known, curves, greys, last);
		return last;
	});
	if (!(residual < plain.residual)) return plain;
	return { gains: gainsOf(known, best, all), tone: best.tone, residual };
}

type Curves = readonly [straight: Undone, ...bent: Undone[]];

/** The curves last undone of some neutrals: they are read again under each light that is found. */
const lastUnbent = new WeakMap<readonly GreyReading[], Curves>();

/** The neutrals' levels under each tone curve that is tried, the straight one first. */
function unbent(readings: readonly GreyReading[]): Curves {
	const last = lastUnbent.get(readings);
	if (last !== undefined) return last;
	const curves: [Undone, ...Undone[]] = [{ tone: STRAIGHT, levels: readings.map(({ linear }) => linear) }];
	for (const contrast of CONTRASTS) {
		const levels = readings.map(({ linear }) => eachChannel(linear, straighten, contrast));
		for (const knee of KNEES)
			curves.push({ tone: { contrast, knee }, levels: levels.map((level) => eachChannel(level, rollBack, knee)) });
	}
	lastUnbent.set(readings, curves);
	return curves;
}

function eachChannel([r, g, b]: Channels, undo: (level: number, shape: number) => number, shape: number): Channels {
	return [undo(r, shape), undo(g, shape), undo(b, shape)];
}

function curvesUnder(light: readonly Channels[] | undefined, curves: Curves): Curves {
	if (light === undefined) return curves;
	const [straight, ...bent] = curves;
	return [under(light, straight), ...bent.map((curve) => under(light, curve))];
}

function under(light: readonly Channels[], { tone, levels }: Undone): Undone {
	return {
		tone,
		levels: levels.map(([r, g, b], i) => {
			const [red, green, blue] = light[i] ?? EVEN;
			return [r / red, g / green, b / blue];
		}),
	};
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

/**
 * The curve that brings some neutrals nearest to what they ought to read; the first of equals.
 *
 * @param likely - looked at first, so that most others are soon past it: the best one of nearly the same neutrals
 */
function bestCurve(known: Known, curves: Curves, greys: readonly number[], likely: Undone): Undone {
	const first = misfit(known, likely, greys, greys);
	let best = likely;
	let least = Number.isNaN(first) ? Number.POSITIVE_INFINITY : first;
	let isPastLikely = false;
	for (const curve of curves) {
		if (curve === likely) {
			isPastLikely = true;
			continue;
		}
		const now = misfit(known, curve, greys, greys, least);
		if (now < least || (now === least && best === likely && !isPastLikely)) {
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
		const colour = known.colour[i]!;
		// lightness alone says of most curves that they are past it
		const lightness = lightnessOf(red * r, green * g, blue * b);
		if (sum + lightnessDifference(lightness, colour.L) > past) return Number.POSITIVE_INFINITY;
		sum += ciede2000(cielabOf(red * r, green * g, blue * b), colour);
	}
	return sum / judged.length;
}

function neutral(reflectance: number): Cielab {
	return cielabOf(reflectance, reflectance, reflectance);
}

function steps(from: number, to: number, count: number): number[] {
	return Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
}
