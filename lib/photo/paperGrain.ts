import { medianOf } from '@/lib/quantity/moments';
import type { MatFound } from './findMat';
import { applyHomography } from './homography';
import { type MatSize, matGeometry, type RectMm } from './matGeometry';
import type { Raster } from './raster';
import { LINEAR_OF_CODE } from './srgbCurve';

/** Side of a square whose mean light is taken, mm: about a pixel at the scale at which classes are told. */
const SQUARE_MM = 1 / 8;
/** From one square to the one that it is compared with, mm: farther than grain is coarse, nearer than light changes. */
const APART_MM = 0.6;
/** From one pair to the next, mm. */
const PITCH_MM = 2;
/** Fewest pairs that tell. */
const LEAST_PAIRS = 100;

/**
 * Grain of a photo, where the mat's paper shows it: by how much places that have one colour differ in it.
 *
 * Bare paper left, right and above the field is compared with itself close by: red over green and blue over green in linear light, so that neither
 * light nor its colour counts. Half of the pairs differ by less than the result, so that print and stray pieces don't speak.
 *
 * @returns share of the light, the greater of the two; undefined where too little of the paper is in the picture
 */
export function paperGrain(raster: Raster, { surface, size }: Pick<MatFound, 'surface' | 'size'>): number | undefined {
	const across = Math.max(1, Math.round(SQUARE_MM * surface.pxPerMm));
	const ratiosAt = (xMm: number, yMm: number) => {
		const { x, y } = applyHomography(surface.mmToPx, xMm, yMm);
		return lightRatios(raster, Math.floor(x - across / 2), Math.floor(y - across / 2), across);
	};
	const red: number[] = [];
	const blue: number[] = [];
	for (const { x, y, width, height } of bareStrips(size)) {
		for (let yMm = y; yMm < y + height; yMm += PITCH_MM) {
			for (let xMm = x; xMm < x + width; xMm += PITCH_MM) {
				const [here, there] = [ratiosAt(xMm, yMm), ratiosAt(xMm + APART_MM, yMm)];
				if (here === undefined || there === undefined) continue;
				red.push(Math.abs(here[0] - there[0]));
				blue.push(Math.abs(here[1] - there[1]));
			}
		}
	}
	if (red.length < LEAST_PAIRS) return undefined;
	return Math.max(medianOf(red), medianOf(blue));
}

/** Paper without print beside the field, millimetres on the field's axes. */
function bareStrips(size: MatSize): readonly RectMm[] {
	const { field, fiducials } = matGeometry(size);
	const [first] = fiducials;
	const beside = field.x - first!.x - 2;
	return [
		{ x: -beside, y: 1, width: beside - 1, height: field.height - 2 },
		{ x: field.width + 1, y: 1, width: beside - 1, height: field.height - 2 },
		{ x: 3, y: -0.4 * field.y, width: field.width - 6, height: 0.3 * field.y },
	];
}

/** Red and blue over green, the mean light of a square of pixels; undefined where it is not all in the picture, or burnt out, or black. */
function lightRatios(
	{ data, width, height }: Raster,
	left: number,
	top: number,
	across: number,
): readonly [red: number, blue: number] | undefined {
	if (left < 0 || top < 0 || left + across > width || top + across > height) return undefined;
	let [red, green, blue, most] = [0, 0, 0, 0];
	for (let row = top; row < top + across; row++) {
		for (let at = 3 * (row * width + left), end = at + 3 * across; at < end; at += 3) {
			red += LINEAR_OF_CODE[data[at]!]!;
			green += LINEAR_OF_CODE[data[at + 1]!]!;
			blue += LINEAR_OF_CODE[data[at + 2]!]!;
			most = Math.max(most, data[at]!, data[at + 1]!, data[at + 2]!);
		}
	}
	return most === 255 || green === 0 ? undefined : [red / green, blue / green];
}
