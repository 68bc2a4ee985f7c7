import { printEstimate, printWithUnit } from './format';
import type { DrawnClass, DrawnPiece } from './piecePicture';
import { CLASS_NAMES } from './sentences';

/** What a rim encloses as written on screens. */
export function drawnName(name: DrawnClass): string {
	return name === 'unjudged' ? 'Not decided' : CLASS_NAMES[name];
}

/** Chopping leaves hardly any piece longer than this, mm; common practice, no source. */
const CHOP_LENGTH_MM = 8;

/** A piece in words: `Copper, bright or dull: 4.1 mm long, 0.52 mm wide, about 7 mg (5 to 9).` */
export function pieceSentence({ class: name, lengthMm, widthMm, areaMm2, massMg, touchesEdge }: DrawnPiece): string {
	if (name === 'unjudged' || lengthMm === undefined || widthMm === undefined || massMg === undefined) {
		return `Not decided: ${printWithUnit(areaMm2, 'mm²', 2)}. It counts for no class and widens the ranges.`;
	}
	const { value, low, high } = printEstimate(massMg);
	const size = `${printWithUnit(lengthMm, 'mm')} long, ${printWithUnit(widthMm, 'mm', 2)} wide`;
	const inside = name === 'insulation' ? ' Copper inside it is not seen here.' : '';
	const joined = lengthMm > CHOP_LENGTH_MM ? ' Pieces that touch are read as one.' : '';
	const edge = touchesEdge ? ' It reaches the edge of the field, so part of it may be missing.' : '';
	return `${drawnName(name)}: ${size}, about ${value}\u00a0mg (${low} to ${high}).${inside}${joined}${edge}`;
}
