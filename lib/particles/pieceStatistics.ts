import { type MaterialClass, perClass } from '../material/classes';
import type { Piece } from './measure';
import type { PieceStatistics } from './spreadReading';

/**
 * Longest piece that chopping leaves, mm: granulator screens have holes of a few millimetres, and wire passes them somewhat
 * longer. Common practice, no source; on the long side, so that pieces are rather counted too few.
 */
const CHOP_LENGTH_MM = 8;

/** Touching pieces read as one: one longer than chopping leaves counts as several of equal size. */
function chopsIn({ areaMm2, meanWidthMm }: Piece): number {
	return meanWidthMm > 0 ? Math.max(1, Math.ceil(areaMm2 / meanWidthMm / CHOP_LENGTH_MM)) : 1;
}

/** Width over length of each class's pieces, weighted by area; pieces that touch count as several. */
export function stubbinessOf(pieces: readonly Piece[]): Readonly<Record<MaterialClass, number>> {
	const area = perClass(() => 0);
	const sum = perClass(() => 0);
	for (const piece of pieces) {
		if (!(piece.lengthMm > 0)) continue;
		area[piece.class] += piece.areaMm2;
		sum[piece.class] += piece.areaMm2 * Math.min(1, (piece.meanWidthMm * chopsIn(piece)) / piece.lengthMm);
	}
	return perClass((name) => (area[name] > 0 ? sum[name] / area[name] : 0));
}

/** Share of the pieces' area that belongs to pieces on the field's edge. */
export function edgeShareOf(pieces: readonly Piece[]): number {
	let all = 0;
	let onEdge = 0;
	for (let k = 0; k < pieces.length; k++) {
		const { areaMm2, touchesEdge } = pieces[k]!;
		all += areaMm2;
		if (touchesEdge) onEdge += areaMm2;
	}
	return all > 0 ? onEdge / all : 0;
}

/** The pieces of a class that cover some area. */
function seenOf(pieces: readonly Piece[], name: MaterialClass): Piece[] {
	const seen: Piece[] = [];
	for (let k = 0; k < pieces.length; k++) {
		const piece = pieces[k]!;
		if (piece.class === name && piece.areaMm2 > 0) seen.push(piece);
	}
	return seen;
}

/** Numbers and sizes of the pieces of one class. */
export function statisticsOf(all: readonly Piece[], name: MaterialClass): PieceStatistics {
	const pieces = seenOf(all, name);
	let count = 0;
	let total = 0;
	let squares = 0;
	for (let k = 0; k < pieces.length; k++) {
		const piece = pieces[k]!;
		count += chopsIn(piece);
		total += piece.widthAreaMm3;
		squares += piece.widthAreaMm3 ** 2 / chopsIn(piece);
	}
	return {
		count,
		meanWidthAreaMm3: count > 0 ? total / count : 0,
		weightedMeanWidthAreaMm3: total > 0 ? squares / total : 0,
		medianWidthMm: medianWidth(pieces),
	};
}

/** Width that half of the class's area lies below. */
function medianWidth(pieces: readonly Piece[]): number {
	const sorted = [...pieces].sort(byWidth);
	let half = 0;
	for (let k = 0; k < pieces.length; k++) half += pieces[k]!.areaMm2 / 2;
	let below = 0;
	for (const piece of sorted) {
		below += piece.areaMm2;
		if (below >= half) return piece.meanWidthMm;
	}
	return 0;
}

function byWidth(a: Piece, b: Piece): number {
	return a.meanWidthMm - b.meanWidthMm;
}
