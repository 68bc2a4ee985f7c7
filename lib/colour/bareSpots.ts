import { applyHomography } from '@/lib/photo/homography';
import { matGeometry } from '@/lib/photo/matGeometry';
import type { Raster } from '@/lib/photo/raster';
import { LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import type { Surface } from '@/lib/photo/surface';
import { rimMm } from '@/lib/photo/tray';
import type { BareSpots } from './falloff';
import { STRAIGHT, type Tone, unbend } from './tone';

/** Distance between spots, as a share of the field's width: some 5000 on a mat. */
const PITCH_SHARE = 1 / 72;
/** Spots keep this far from print and paper edge, mm on the A5 sheet. */
const CLEAR_MM = 1.5;
/** A code from here on may be clipped. */
const CLIPPED_CODE = 252;

/** Spots as the photo's codes say them, before the camera's tone curve is undone. */
export interface SpotsRead extends Omit<BareSpots, 'log'> {
	/** Linear light, three numbers a spot. */
	readonly linear: Float64Array;
}

/** What is printed on a mat and where paper lies bare beside it; every size carries the same drawing, stretched to the surface's field. */
const DRAWING = matGeometry('A5');
/** The printed marks and patches: left, top, right and bottom of each, mm, with the room that spots keep. */
const PRINTED = Float64Array.from(
	[...DRAWING.fiducials, ...DRAWING.patches].flatMap(({ x, y, width, height }) => [
		x - CLEAR_MM,
		y - CLEAR_MM,
		x + width + CLEAR_MM,
		y + height + CLEAR_MM,
	]),
);

/**
 * Light read on a grid over the whole mat: its margins are surely bare paper, spots inside the field may be.
 * Printed marks and patches are left out, and so are clipped spots.
 */
export function matSpots(raster: Raster, surface: Surface): SpotsRead {
	const { field, sheetWidthMm, sheetHeightMm } = DRAWING;
	const pitch = field.width * PITCH_SHARE;
	const reader = new SpotReader(raster, surface, Math.ceil(sheetWidthMm / pitch) * Math.ceil(sheetHeightMm / pitch));
	for (let y = CLEAR_MM; y <= sheetHeightMm - CLEAR_MM; y += pitch) reader.readMatRow(y, pitch);
	return reader.spots();
}

/** Light on a grid over a plain tray up to its walls, which have its colour; none of it is surely bare. */
export function traySpots(raster: Raster, surface: Surface): BareSpots {
	const rim = rimMm(surface);
	const width = surface.fieldWidthMm + 2 * rim;
	const height = surface.fieldHeightMm + 2 * rim;
	const pitch = width * PITCH_SHARE;
	const reader = new SpotReader(raster, surface, Math.ceil(width / pitch) * Math.ceil(height / pitch));
	for (let y = pitch / 2; y < height; y += pitch) reader.readTrayRow(y - rim, rim, pitch);
	return straightened(reader.spots(), STRAIGHT);
}

/** The spots' light in its logarithm, the camera's tone curve undone. */
export function straightened({ count, xMm, yMm, sure, linear }: SpotsRead, tone: Tone): BareSpots {
	const log = new Float64Array(linear.length);
	const row = 3 * ROW_SPOTS;
	for (let from = 0; from < log.length; from += row)
		undoTone(linear, log, from, Math.min(log.length, from + row), tone);
	return { count, xMm, yMm, sure, log };
}

/** Spots gone over at once. */
const ROW_SPOTS = 64;

function undoTone(linear: Float64Array, log: Float64Array, from: number, to: number, tone: Tone): void {
	for (let k = from; k < to; k++) log[k] = Math.log(Math.max(1e-4, unbend(linear[k]!, tone)));
}

/** Collects spots, row by row. */
class SpotReader {
	private count = 0;
	private readonly xMm: Float64Array;
	private readonly yMm: Float64Array;
	private readonly sure: Uint8Array;
	private readonly linear: Float64Array;
	/** @param most - spots that may come */
	constructor(
		private readonly raster: Raster,
		private readonly surface: Surface,
		most: number,
	) {
		this.xMm = new Float64Array(most);
		this.yMm = new Float64Array(most);
		this.sure = new Uint8Array(most);
		this.linear = new Float64Array(3 * most);
	}
	/** The spots of a mat at height `y` of the drawing. */
	readMatRow(y: number, pitch: number): void {
		const { field, sheetWidthMm } = DRAWING;
		const kx = this.surface.fieldWidthMm / field.width;
		const ky = this.surface.fieldHeightMm / field.height;
		const isBesideField = !(y > field.y - CLEAR_MM && y < field.y + field.height + CLEAR_MM);
		for (let x = CLEAR_MM; x <= sheetWidthMm - CLEAR_MM; x += pitch) {
			if (isPrinted(x, y)) continue;
			const isSure = isBesideField || !(x > field.x - CLEAR_MM && x < field.x + field.width + CLEAR_MM);
			this.add(kx * (x - field.x), ky * (y - field.y), isSure ? 1 : 0);
		}
	}
	/** The spots of a plain tray at height `yMm`, its rim among them. */
	readTrayRow(yMm: number, rim: number, pitch: number): void {
		const end = this.surface.fieldWidthMm + rim;
		for (let xMm = pitch / 2 - rim; xMm < end; xMm += pitch) this.add(xMm, yMm, 0);
	}
	spots(): SpotsRead {
		const { count } = this;
		return {
			count,
			xMm: this.xMm.subarray(0, count),
			yMm: this.yMm.subarray(0, count),
			sure: this.sure.subarray(0, count),
			linear: this.linear.subarray(0, 3 * count),
		};
	}
	private add(xMm: number, yMm: number, sure: number): void {
		if (!this.read(xMm, yMm)) return;
		this.xMm[this.count] = xMm;
		this.yMm[this.count] = yMm;
		this.sure[this.count++] = sure;
	}
	/** Writes the mean of 3 x 3 pixels in linear light; false off the picture and where clipped. */
	private read(xMm: number, yMm: number): boolean {
		const { data, width, height } = this.raster;
		const { x, y } = applyHomography(this.surface.mmToPx, xMm, yMm);
		const column = Math.floor(x);
		const row = Math.floor(y);
		if (column < 1 || row < 1 || column > width - 2 || row > height - 2) return false;
		let red = 0;
		let green = 0;
		let blue = 0;
		for (let dy = -1; dy <= 1; dy++) {
			for (let dx = -1; dx <= 1; dx++) {
				const at = 3 * ((row + dy) * width + column + dx);
				const r = data[at]!;
				const g = data[at + 1]!;
				const b = data[at + 2]!;
				if (r >= CLIPPED_CODE || g >= CLIPPED_CODE || b >= CLIPPED_CODE) return false;
				red += LINEAR_OF_CODE[r]!;
				green += LINEAR_OF_CODE[g]!;
				blue += LINEAR_OF_CODE[b]!;
			}
		}
		const into = 3 * this.count;
		this.linear[into] = red / 9;
		this.linear[into + 1] = green / 9;
		this.linear[into + 2] = blue / 9;
		return true;
	}
}

/** Whether a place of the drawing is printed, or near print. */
function isPrinted(x: number, y: number): boolean {
	for (let k = 0; k < PRINTED.length; k += 4)
		if (x > PRINTED[k]! && y > PRINTED[k + 1]! && x < PRINTED[k + 2]! && y < PRINTED[k + 3]!) return true;
	return false;
}
