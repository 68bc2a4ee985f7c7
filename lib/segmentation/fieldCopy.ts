import { multiply } from '../photo/homography';
import type { Raster } from '../photo/raster';
import { type Matrix3, type Surface, surfaceFrom } from '../photo/surface';
import { codesOfLight, LIGHT_STEPS, lightOfCode } from './halveKernel';
import { pixelKernels } from './pixelKernels';

/**
 * Pixels per millimetre that a reading by colour keeps at least. Error rates are measured on pictures of 7 to 9, so finer ones would
 * cost time only to be judged by rates of coarser ones; the finest strand that is believed, 0.1 mm, needs 5 (`LIMITS.pxPerStrand` of
 * judgePhoto.ts).
 */
const READING_PX_PER_MM = 7;

/** Where the pixels of a smaller copy of the field's part of a photo lie. */
export interface FieldGrid {
	readonly width: number;
	readonly height: number;
	/** The field on the copy. */
	readonly surface: Surface;
	/** Pixels of the photo to one of the copy, along a line: a power of two. */
	readonly reducedBy: number;
	/** Where the copy's top-left corner lies on the photo. */
	readonly left: number;
	readonly top: number;
}

/** The field's part of a photo, as it is read. */
export interface FieldCopy extends Omit<FieldGrid, 'width' | 'height'> {
	readonly raster: Raster;
}

/**
 * The pixels at which the field of a photo is read: the photo's own, or where it is fine enough, its squares of two by two pixels (or
 * four by four, ...).
 *
 * @param leastPxPerMm - what the grid keeps at least
 */
export function fieldGrid(
	photo: Pick<Raster, 'width' | 'height'>,
	surface: Surface,
	leastPxPerMm = READING_PX_PER_MM,
): FieldGrid {
	const whole = { width: photo.width, height: photo.height, surface, reducedBy: 1, left: 0, top: 0 };
	const reducedBy = Math.max(1, 2 ** Math.floor(Math.log2(surface.pxPerMm / leastPxPerMm)));
	if (reducedBy === 1) return whole;
	const xs = surface.cornersPx.map((p) => p.x);
	const ys = surface.cornersPx.map((p) => p.y);
	const first = (values: readonly number[]) => Math.max(0, Math.floor(Math.min(...values) / reducedBy));
	const past = (values: readonly number[], size: number) =>
		Math.min(Math.floor(size / reducedBy), Math.ceil(Math.max(...values) / reducedBy));
	const [column, row] = [first(xs), first(ys)];
	const width = past(xs, photo.width) - column;
	const height = past(ys, photo.height) - row;
	if (width < 1 || height < 1) return whole;
	const [left, top] = [column * reducedBy, row * reducedBy];
	return { width, height, surface: onCopy(surface, reducedBy, left, top), reducedBy, left, top };
}

/**
 * The field of a photo at the scale at which it is read: the photo itself, or where it is fine enough, means of its squares in linear
 * light, so that a pixel half covered by metal says half.
 *
 * @param leastPxPerMm - what the copy keeps at least
 */
export function fieldCopy(raster: Raster, surface: Surface, leastPxPerMm = READING_PX_PER_MM): FieldCopy {
	const { width, height, surface: onGrid, reducedBy, left, top } = fieldGrid(raster, surface, leastPxPerMm);
	const read = reducedBy === 1 ? raster : meansOfSquares(raster, left, top, width, height, reducedBy);
	return { surface: onGrid, reducedBy, left, top, raster: read };
}

/** A grid on a copy of a photo as one on the photo. */
export function gridOnPhoto(
	{ reducedBy, left, top }: Pick<FieldGrid, 'reducedBy' | 'left' | 'top'>,
	copy: Pick<FieldGrid, 'reducedBy' | 'left' | 'top'>,
): Pick<FieldGrid, 'reducedBy' | 'left' | 'top'> {
	return {
		reducedBy: copy.reducedBy * reducedBy,
		left: copy.left + copy.reducedBy * left,
		top: copy.top + copy.reducedBy * top,
	};
}

function onCopy(surface: Surface, reducedBy: number, left: number, top: number): Surface {
	const toPhoto: Matrix3 = [reducedBy, 0, left, 0, reducedBy, top, 0, 0, 1];
	const toCopy: Matrix3 = [1 / reducedBy, 0, -left / reducedBy, 0, 1 / reducedBy, -top / reducedBy, 0, 0, 1];
	const [a, b, c, d] = surface.cornersPx;
	const point = ({ x, y }: { x: number; y: number }) => ({ x: (x - left) / reducedBy, y: (y - top) / reducedBy });
	const { kind, fieldWidthMm, fieldHeightMm, camera } = surface;
	const cornersPx = [point(a), point(b), point(c), point(d)] as const;
	const pxToMm = multiply(surface.pxToMm, toPhoto);
	const mmToPx = multiply(toCopy, surface.mmToPx);
	const pxPerMm = surface.pxPerMm / reducedBy;
	return surfaceFrom({ kind, fieldWidthMm, fieldHeightMm, cornersPx, pxToMm, mmToPx, pxPerMm }, camera);
}

/** Means of squares in linear light, as sRGB codes. */
function meansOfSquares(
	raster: Raster,
	left: number,
	top: number,
	width: number,
	height: number,
	side: number,
): Raster {
	const half = halved(raster, left, top, (width * side) / 2, (height * side) / 2);
	return side === 2 ? half : meansOfSquares(half, 0, 0, width, height, side / 2);
}

/** Rows are halved two at a time in the kernels' memory. */
function halved({ data, width: from }: Raster, left: number, top: number, width: number, height: number): Raster {
	const out = new Uint8Array(3 * width * height);
	const picture: Raster = { width, height, channels: 3, colourSpace: 'srgb', data: out };
	const row = 6 * width + 16;
	const [lower, light, into, codes] = [row, 2 * row, 4 * row + 32, 5 * row + 32];
	const kernels = pixelKernels(codes + LIGHT_STEPS);
	if (kernels === undefined) return halvedSlowly(data, 3 * (top * from + left), 3 * from, picture);
	kernels.bytes.set(CODES, codes);
	for (let y = 0; y < height; y++) {
		const at = 3 * ((top + 2 * y) * from + left);
		kernels.bytes.set(data.subarray(at, at + 6 * width), 0);
		kernels.bytes.set(data.subarray(at + 3 * from, at + 3 * from + 6 * width), lower);
		kernels.halve(0, lower, light, into, width, codes);
		out.set(kernels.bytes.subarray(into, into + 3 * width), 3 * y * width);
	}
	return picture;
}

const CODES = codesOfLight();
const LIGHT = Uint16Array.from({ length: 256 }, (_, code) => lightOfCode(code));

/** The same where WebAssembly has no SIMD. */
function halvedSlowly(data: Uint8Array, start: number, step: number, picture: Raster): Raster {
	const { width, height, data: out } = picture;
	const mean = (a: number, b: number) => (LIGHT[data[a]!]! + LIGHT[data[b]!]! + 1) >> 1;
	for (let y = 0; y < height; y++) {
		for (let x = 0; x < width; x++) {
			for (let c = 0; c < 3; c++) {
				const at = start + 2 * y * step + 6 * x + c;
				out[3 * (y * width + x) + c] = CODES[(mean(at, at + step) + mean(at + 3, at + 3 + step)) >> 2]!;
			}
		}
	}
	return picture;
}
