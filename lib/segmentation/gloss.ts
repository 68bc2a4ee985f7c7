import { dot, type Rgb } from './unmixing';

/** How a piece shines. */
export interface Gloss {
	/** Logarithm of how much lighter its light parts are than its middle. */
	readonly shine: number;
	/** Colourfulness of what the lightest parts have on top of the middle, over that of the middle: 1 of the piece's own colour, 0 of the lamp's. */
	readonly tint: number;
}

/** Fewer pixels tell nothing of how a piece shines. */
export const LEAST_PIXELS = 20;
/** Bodies nearer to grey than this have no colour that a highlight could keep or lose, degrees between colour and white. */
const LEAST_COLOUR_DEG = 6;

/** Parts of a piece's pixels, from dark to light: its middle, its light parts and its lightest. */
const BODY = [0.4, 0.6] as const;
const LIGHT = [0.9, 0.96] as const;
const LIGHTEST = [0.98, 1] as const;
/** Range in which either measure says anything; what lies further out is noise. */
const SHINE_RANGE = [0, 1.5] as const;
const TINT_RANGE = [-1, 2] as const;

/**
 * How a piece shines, from the pixels inside it that are not clipped.
 *
 * Plastic scatters light evenly from its body and mirrors the lamp in the lamp's own colour on top of it; a conductor has no body:
 * it mirrors its surroundings, bright and dark in turn, in its own colour (dichromatic reflection).
 *
 * @param rgb - light-corrected linear light, three numbers a pixel
 * @returns undefined where the pixels are too few, or the middle too near to grey
 * @source S. Shafer, Color Res. Appl. 10 (1985) 210; G. Healey, J. Opt. Soc. Am. A 6 (1989) 920 (both from memory)
 */
export function glossOf(rgb: Float32Array): Gloss | undefined {
	const count = rgb.length / 3;
	if (count < LEAST_PIXELS) return undefined;
	const luminance = luminances(rgb);
	const sorted = luminance.slice().sort();
	const [body, light, lightest] = [BODY, LIGHT, LIGHTEST].map((part) => meanBetween(part, rgb, luminance, sorted)) as [
		Rgb,
		Rgb,
		Rgb,
	];
	const white = whiteOf(body);
	const colour = body.map((v) => v - white) as unknown as Rgb;
	const colourfulness = lengthOf(colour) / (white * Math.sqrt(3));
	if (!(white > 0) || colourfulness < Math.tan((LEAST_COLOUR_DEG * Math.PI) / 180)) return undefined;
	const step = lightest.map((v, c) => v - body[c]!) as unknown as Rgb;
	// what the step holds of the body's colour, for each part of white in it; a piece without any highlight has no step to speak of
	const own = dot(step, colour) / (lengthOf(colour) ** 2 / white);
	return {
		shine: within(Math.log(luminanceOf(...light) / luminanceOf(...body)), SHINE_RANGE),
		tint: within(own / Math.max(whiteOf(step), 0.02 * white), TINT_RANGE),
	};
}

function luminances(rgb: Float32Array): Float32Array {
	const luminance = new Float32Array(rgb.length / 3);
	for (let i = 0; i < luminance.length; i++) luminance[i] = luminanceOf(rgb[3 * i]!, rgb[3 * i + 1]!, rgb[3 * i + 2]!);
	return luminance;
}

/** Mean colour of the pixels in a part of them by luminance. */
function meanBetween(
	[from, to]: readonly [number, number],
	rgb: Float32Array,
	luminance: Float32Array,
	sorted: Float32Array,
): Rgb {
	const count = luminance.length;
	const first = Math.floor(from * count);
	const low = sorted[first]!;
	const high = sorted[Math.max(first, Math.ceil(to * count) - 1)]!;
	let red = 0;
	let green = 0;
	let blue = 0;
	let many = 0;
	for (let i = 0; i < count; i++) {
		if (luminance[i]! < low || luminance[i]! > high) continue;
		red += rgb[3 * i]!;
		green += rgb[3 * i + 1]!;
		blue += rgb[3 * i + 2]!;
		many++;
	}
	return [red / many, green / many, blue / many];
}

/**
 * Weights of the vote: log-odds of metal against plastic = start + shine and tint of the photo's pieces + what the piece differs
 * from them by, to which `COLOUR_WEIGHT` times the log-odds by colour is added. Pieces of one photo lie in one light and are mostly of one
 * make, so what they show together says more than each by itself.
 *
 * @source logistic regression on the pieces that 110 rendered close-ups show in copper's colours, each scene counting alike, by
 *   models/gloss/fitGloss.ts; on scenes held out by turns it surprises by 0.64 bits a piece, colour alone by 0.69
 */
const WEIGHTS = { start: -4.33, shine: 3.11, tint: 2.49, ownShine: 0.91, ownTint: 0.29 } as const;
export const COLOUR_WEIGHT = 1.84;
/** Fewer pieces do not speak for a photo. */
const LEAST_PIECES = 5;

/** What the pieces of a photo say by their shine. */
export interface GlossVotes {
	/** For a piece that does not show how it shines. */
	readonly ofPhoto: number;
	/** Natural log-odds of metal against plastic, per piece: below 0 plastic. */
	readonly ofPiece: Float64Array;
}

/**
 * The votes of a photo's pieces of one colour between metal and plastic.
 *
 * @param pieces - shine of each, undefined where it does not show
 * @param pixels - size of each: it counts by its square root, as pixels of a piece are alike
 * @returns undefined where too few pieces show how they shine
 */
export function glossVotes(pieces: readonly (Gloss | undefined)[], pixels: ArrayLike<number>): GlossVotes | undefined {
	let [shine, tint, all, telling] = [0, 0, 0, 0];
	for (const [k, piece] of pieces.entries()) {
		if (piece === undefined) continue;
		const weight = Math.sqrt(pixels[k]!);
		shine += weight * piece.shine;
		tint += weight * piece.tint;
		all += weight;
		telling++;
	}
	if (telling < LEAST_PIECES) return undefined;
	shine /= all;
	tint /= all;
	const ofPhoto = WEIGHTS.start + WEIGHTS.shine * shine + WEIGHTS.tint * tint;
	const ofPiece = Float64Array.from(pieces, (piece) =>
		piece === undefined
			? ofPhoto
			: ofPhoto + WEIGHTS.ownShine * (piece.shine - shine) + WEIGHTS.ownTint * (piece.tint - tint),
	);
	return { ofPhoto, ofPiece };
}

function luminanceOf(red: number, green: number, blue: number): number {
	return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function whiteOf([red, green, blue]: Rgb): number {
	return (red + green + blue) / 3;
}

function lengthOf(colour: Rgb): number {
	return Math.sqrt(dot(colour, colour));
}

function within(value: number, [low, high]: readonly [number, number]): number {
	return Math.max(low, Math.min(high, value));
}
