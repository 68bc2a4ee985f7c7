import { pieceMassMg } from '../grade/pieceMass';
import { type MaterialClass, UNJUDGED } from '../material/classes';
import type { Material } from '../material/material';
import { measurePieces, pieceIds } from '../particles/measure';
import { traceOutlines } from '../particles/traceOutlines';
import type { Surface } from '../photo/surface';
import type { Estimate } from '../quantity/quantity';
import type { ClassMap } from '../segmentation/classMap';
import { labelRegions } from '../segmentation/labelRegions';

/** What a rim on the picture encloses. */
export type DrawnClass = MaterialClass | 'unjudged';

/** One connected piece as it is drawn and told about. */
export interface DrawnPiece {
	readonly class: DrawnClass;
	/** Rims as pixel corners of the upright photo, x and y in turn; holes are rings of their own. */
	readonly rings: readonly (readonly number[])[];
	/** Missing where it was not judged. */
	readonly lengthMm?: number;
	readonly widthMm?: number;
	readonly areaMm2: number;
	readonly massMg?: Estimate;
	/** The piece reaches the field's edge, so part of it may lie outside. */
	readonly touchesEdge: boolean;
}

/** All pieces of one photo with their outlines. */
export interface PiecePicture {
	readonly widthPx: number;
	readonly heightPx: number;
	readonly pieces: readonly DrawnPiece[];
}

/** Corners of an outline that lie closer than this to a straight line are left out: under a pixel, so that nothing seems to move. */
const OUTLINE_TOLERANCE_PX = 0.75;

/** Smaller spots that were not judged are not outlined one by one, pixels. Chosen by eye: a dot of 3 by 3. */
const LEAST_UNJUDGED_PX = 9;

/**
 * Outlines, sizes and rough masses of the pieces on a class map.
 *
 * Limit: a class map from a file has no covered shares, so strands thinner than a pixel come out too heavy; the range says so.
 */
export function piecePicture(
	map: ClassMap,
	surface: Surface,
	material: Material,
	photo: { readonly widthPx: number; readonly heightPx: number },
): PiecePicture {
	const measured = measurePieces(map, surface);
	const { pieces } = measured;
	const pixelMm = 1 / surface.pxPerMm;
	const shift = (rings: readonly (readonly number[])[]) =>
		rings.map((ring) => ring.map((at, i) => at + (i % 2 === 0 ? map.columnOffset : map.rowOffset)));
	const rims = traceOutlines(pieceIds(measured), pieces.length, map.width, map.height, OUTLINE_TOLERANCE_PX);
	const judged = pieces.flatMap((piece, k): DrawnPiece[] =>
		piece.areaMm2 > 0
			? [
					{
						class: piece.class,
						rings: shift(rims[k] ?? []),
						lengthMm: short(piece.lengthMm),
						widthMm: short(piece.meanWidthMm),
						areaMm2: short(piece.areaMm2),
						massMg: shortEstimate(pieceMassMg(piece, material.classes[piece.class], pixelMm)),
						touchesEdge: piece.touchesEdge,
					},
				]
			: [],
	);
	return { ...photo, pieces: [...judged, ...unjudgedSpots(map, pixelMm, shift)] };
}

function unjudgedSpots(
	{ labels, width, height }: ClassMap,
	pixelMm: number,
	shift: (rings: readonly (readonly number[])[]) => number[][],
): DrawnPiece[] {
	const only = labels.map((code) => (code === UNJUDGED ? 1 : 0));
	const { count, ids } = labelRegions(only, width, height);
	const pixels = new Int32Array(count + 1);
	for (const id of ids) pixels[id]!++;
	const rims = traceOutlines(ids, count, width, height, OUTLINE_TOLERANCE_PX);
	return rims.flatMap((rings, k): DrawnPiece[] => {
		const areaPx = pixels[k + 1]!;
		if (areaPx < LEAST_UNJUDGED_PX) return [];
		return [{ class: 'unjudged', rings: shift(rings), areaMm2: short(areaPx * pixelMm ** 2), touchesEdge: false }];
	});
}

/** Four digits go over the wire: twice what is ever shown. */
function short(amount: number): number {
	return Number(amount.toPrecision(4));
}

function shortEstimate({ value, low, high }: Estimate): Estimate {
	return { value: short(value), low: short(low), high: short(high) };
}

/**
 * The piece at a place of the photo: the smallest whose rims enclose it, among those that are shown.
 *
 * @returns its place in `pieces`, or undefined where there is none
 */
export function pieceAt(
	{ pieces }: PiecePicture,
	xPx: number,
	yPx: number,
	isShown: (name: DrawnClass) => boolean,
): number | undefined {
	let found: number | undefined;
	for (const [k, piece] of pieces.entries()) {
		if (!isShown(piece.class) || !encloses(piece.rings, xPx, yPx)) continue;
		if (found === undefined || piece.areaMm2 < pieces[found]!.areaMm2) found = k;
	}
	return found;
}

/** Even-odd rule over all rings, so that a hole is outside. */
function encloses(rings: readonly (readonly number[])[], x: number, y: number): boolean {
	let inside = false;
	for (const ring of rings) {
		for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
			const [xi, yi, xj, yj] = [ring[i]!, ring[i + 1]!, ring[j]!, ring[j + 1]!];
			if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
		}
	}
	return inside;
}
