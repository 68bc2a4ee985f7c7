import { MATERIAL_CLASSES } from '../material/classes';
import type { PhotoWarning } from '../photo/photoWarning';
import type { SpreadReading } from './spreadReading';

/**
 * Cover up to which one layer is easily kept: pieces dropped at random then hide about a fifth of their own shadow, pieces
 * laid by hand less. Common practice, no source; the hidden share at each cover is in `hiddenShareAt`.
 */
const MOST_COVER = 0.4;
/** Fewest pieces that a grade should rest on: with 100 pieces counting alone leaves 10 %. */
const FEWEST_PIECES = 100;
/** Share of the field that may stay unjudged before it is said. */
const MOST_UNJUDGED = 0.05;
/** Cover below which the field counts as empty: less than specks and noise leave on a bare mat. */
const EMPTY_COVER = 0.002;
/** Share of the pieces' area that may lie in pieces cut by the field's edge. */
const MOST_ON_EDGE = 0.1;

/**
 * Share of the pieces' shadow that other pieces hide, if they were dropped at random until they cover `cover` of the field.
 *
 * @param cover - visible cover, 0 to below 1
 * @source Boolean model: visible cover 1 - exp(-x), hidden share 1 - (1 - exp(-x))/x; tests/reference/image-components.json
 */
export function hiddenShareAt(cover: number): number {
	if (cover <= 0) return 0;
	const laid = -Math.log(1 - Math.min(cover, 0.999));
	return 1 - cover / laid;
}

/**
 * Warnings about the sample on the mat or tray, as opposed to the picture: too much, too little, too little of it read.
 *
 * @param isModelMissing - the trained model was wanted and is not there
 */
export function judgeSpread(reading: SpreadReading, isModelMissing = false): PhotoWarning[] {
	const warnings: PhotoWarning[] = isModelMissing ? [MODEL_MISSING] : [];
	const cover = reading.coverageFraction;
	const pieces = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
	const unjudged = unjudgedShare(reading);
	if (cover < EMPTY_COVER) {
		warnings.push({
			code: 'nothing-spread',
			message: 'Next to nothing lies in the field. Spread a scoop in one layer and take the photo again.',
		});
	} else {
		const tooMuch = tooMuchSpread(cover);
		if (tooMuch > 0) warnings.push(crowded(cover, tooMuch));
		if (pieces < FEWEST_PIECES) warnings.push(tooFew(pieces));
	}
	if (unjudged > MOST_UNJUDGED) warnings.push(leftUnjudged(unjudged));
	const onEdge = reading.edgeAreaFraction ?? 0;
	if (onEdge > MOST_ON_EDGE) warnings.push(overTheEdge(onEdge));
	return warnings;
}

const MODEL_MISSING: PhotoWarning = {
	code: 'model-missing',
	message:
		'The trained model is not there, so this photo was read by colours alone. They take some brown insulation for copper and tinned wire for paper, and the range is wider for it. Put the model files back, or teach the colours.',
};

/** Share of the pieces to leave away so that one layer is easily kept, to a tenth: a hand spreads no finer. */
function tooMuchSpread(cover: number): number {
	const share = 1 - Math.log(1 - MOST_COVER) / Math.log(1 - Math.min(Math.max(cover, MOST_COVER), 0.999));
	return Math.round(share * 10) / 10;
}

function crowded(cover: number, less: number): PhotoWarning {
	return {
		code: 'crowded',
		message: `Pieces cover ${percent(cover)} of the field, so some lie on others and up to ${percent(hiddenShareAt(cover))} of them may be hidden. Spread about ${percent(less)} less, in one layer. Fine heavy pieces hide first, so the metal may be read low.`,
	};
}

function tooFew(pieces: number): PhotoWarning {
	return {
		code: 'too-few-pieces',
		message: `Only ${pieces} pieces were found. Spread more, or take more photos: with so few, chance alone moves the grade a lot.`,
	};
}

function leftUnjudged(share: number): PhotoWarning {
	return {
		code: 'unjudged-share',
		message: `${percent(share)} of the field is not decided (glare, deep shadow or a colour that fits nothing). Change the light or teach the colours; until then the range is wider.`,
	};
}

function overTheEdge(share: number): PhotoWarning {
	return {
		code: 'pieces-over-edge',
		message: `${percent(share)} of the pieces' area lies in pieces that cross the edge of the field. Push them in: what lies outside is not counted.`,
	};
}

function unjudgedShare({ blocks }: SpreadReading): number {
	const field = blocks.reduce((sum, block) => sum + block.fieldMm2, 0);
	return field > 0 ? blocks.reduce((sum, block) => sum + block.unjudgedMm2, 0) / field : 0;
}

function percent(share: number): string {
	return `${Math.round(share * 100)} %`;
}
