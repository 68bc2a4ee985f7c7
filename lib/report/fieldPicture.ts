import { applyHomography, homographyOf } from '../photo/homography';
import type { Raster } from '../photo/raster';
import type { Matrix3 } from '../photo/surface';

/** A part of the spread field and how finely it is drawn. */
export interface FieldWindow {
	readonly xMm: number;
	readonly yMm: number;
	readonly widthMm: number;
	readonly heightMm: number;
	readonly pxPerMm: number;
}

/** The map from field millimetres to photo pixels, from the field's corners as found (x1, y1, ... x4, y4, clockwise). */
export function fieldToPhoto(cornersPx: readonly number[], fieldWidthMm: number, fieldHeightMm: number): Matrix3 {
	const corners = [0, 2, 4, 6].map((at) => ({ x: cornersPx[at] ?? Number.NaN, y: cornersPx[at + 1] ?? Number.NaN }));
	const field = [
		{ x: 0, y: 0 },
		{ x: fieldWidthMm, y: 0 },
		{ x: fieldWidthMm, y: fieldHeightMm },
		{ x: 0, y: fieldHeightMm },
	];
	return homographyOf(field, corners);
}

/** Size in pixels of a drawn window. */
export function sizeOfWindow({ widthMm, heightMm, pxPerMm }: FieldWindow): {
	readonly width: number;
	readonly height: number;
} {
	return { width: Math.round(widthMm * pxPerMm), height: Math.round(heightMm * pxPerMm) };
}

/**
 * A window of the field as it would look from straight above, so that one length on the picture is one length on the field.
 *
 * Between pixels by the four nearest ones, weighted by closeness.
 *
 * @returns sRGB, 3 bytes a pixel, row-major
 */
export function fieldPicture(photo: Raster, mmToPx: Matrix3, window: FieldWindow): Uint8Array {
	const { width, height } = sizeOfWindow(window);
	const rgb = new Uint8Array(3 * width * height);
	// hot loop, local mutation only
	for (let row = 0; row < height; row++) {
		for (let column = 0; column < width; column++) {
			const { x, y } = placeOf(mmToPx, window, column, row);
			const left = clamp(Math.floor(x - 0.5), photo.width - 2);
			const top = clamp(Math.floor(y - 0.5), photo.height - 2);
			const right = Math.min(1, Math.max(0, x - 0.5 - left));
			const down = Math.min(1, Math.max(0, y - 0.5 - top));
			for (let channel = 0; channel < 3; channel++) {
				const at = 3 * (top * photo.width + left) + channel;
				const below = at + 3 * photo.width;
				const upper = photo.data[at]! * (1 - right) + photo.data[at + 3]! * right;
				const lower = photo.data[below]! * (1 - right) + photo.data[below + 3]! * right;
				rgb[3 * (row * width + column) + channel] = Math.round(upper * (1 - down) + lower * down);
			}
		}
	}
	return rgb;
}

/** The class codes of the same window; picked, never blended. */
export function fieldLabels(
	labels: { readonly data: Uint8Array; readonly width: number; readonly height: number },
	mmToPx: Matrix3,
	window: FieldWindow,
): Uint8Array {
	const { width, height } = sizeOfWindow(window);
	const codes = new Uint8Array(width * height);
	for (let row = 0; row < height; row++) {
		for (let column = 0; column < width; column++) {
			const { x, y } = placeOf(mmToPx, window, column, row);
			const from = clamp(Math.floor(y), labels.height - 1) * labels.width + clamp(Math.floor(x), labels.width - 1);
			codes[row * width + column] = labels.data[from]!;
		}
	}
	return codes;
}

function placeOf(mmToPx: Matrix3, { xMm, yMm, pxPerMm }: FieldWindow, column: number, row: number) {
	return applyHomography(mmToPx, xMm + (column + 0.5) / pxPerMm, yMm + (row + 0.5) / pxPerMm);
}

function clamp(index: number, most: number): number {
	return Math.min(most, Math.max(0, index));
}

/** Step of the search for a close-up, as a share of its size. */
const STEP = 0.25;

/**
 * Where to look closely: the window whose share of covered pixels is nearest to that of the whole field, so that the close-up
 * shows neither the fullest nor the emptiest corner. The first in reading order where several are as near.
 *
 * @param codes - class codes of the whole field at `pxPerMm`, 0 for bare surface
 */
export function typicalWindow(
	codes: Uint8Array,
	field: FieldWindow,
	closeUp: { readonly widthMm: number; readonly heightMm: number; readonly pxPerMm: number },
): FieldWindow {
	const { width } = sizeOfWindow(field);
	const widthMm = Math.min(closeUp.widthMm, field.widthMm);
	const heightMm = Math.min(closeUp.heightMm, field.heightMm);
	const wanted = coveredShare(codes, width, 0, 0, width, codes.length / width);
	let best: FieldWindow = { xMm: 0, yMm: 0, widthMm, heightMm, pxPerMm: closeUp.pxPerMm };
	let nearest = Number.POSITIVE_INFINITY;
	for (let yMm = 0; yMm <= field.heightMm - heightMm; yMm += STEP * heightMm) {
		for (let xMm = 0; xMm <= field.widthMm - widthMm; xMm += STEP * widthMm) {
			const px = (mm: number) => Math.floor(mm * field.pxPerMm);
			const share = coveredShare(codes, width, px(xMm), px(yMm), px(xMm + widthMm), px(yMm + heightMm));
			if (Math.abs(share - wanted) >= nearest) continue;
			nearest = Math.abs(share - wanted);
			best = { ...best, xMm, yMm };
		}
	}
	return best;
}

function coveredShare(codes: Uint8Array, width: number, left: number, top: number, right: number, bottom: number) {
	let covered = 0;
	for (let row = top; row < bottom; row++) {
		for (let column = left; column < right; column++) if (codes[row * width + column] !== 0) covered++;
	}
	return covered / Math.max(1, (right - left) * (bottom - top));
}
