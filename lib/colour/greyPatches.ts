import { applyHomography } from '@/lib/photo/homography';
import { cornersOf, matGeometry } from '@/lib/photo/matGeometry';
import type { PointPx, Raster } from '@/lib/photo/raster';
import { decodeSrgb, LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import type { Surface } from '@/lib/photo/surface';

/** A neutral of known reflectance and where it is on the photo. */
export interface GreyPlace {
	/** Corners on the photo, clockwise; only the middle of the patch is read. */
	readonly quadPx: readonly PointPx[];
	/** What a perfect camera would record, linear, per channel alike. */
	readonly reflectance: number;
}

/** What one neutral reads on the photo. */
export interface GreyReading {
	readonly reflectance: number;
	/** Mean linear light per channel, as the photo's sRGB codes say. */
	readonly linear: readonly [number, number, number];
	/** Middle of the patch. */
	readonly atPx: PointPx;
}

/** Share of the patch that is read, each way: keeps clear of its soft edges. */
const INNER_SHARE = 0.6;

/** A channel outside these bounds says nothing about the light: it is clipped or lost in noise. Chosen as in methods of
 *  chart-based correction (common practice); bounded by tests/colour/correctLight.test.ts. */
const HIGHEST_LINEAR = 0.97;
const LOWEST_LINEAR = 0.02;

/** Least pixels for a mean. */
const LEAST_PIXELS = 16;

/**
 * The mat's five neutral patches on a photo. Sheets of every size carry the same drawing, so the A5 one, stretched to the
 * surface's field, serves them all.
 */
export function matGreyPlaces(surface: Surface): GreyPlace[] {
	const { field, patches } = matGeometry('A5');
	const kx = surface.fieldWidthMm / field.width;
	const ky = surface.fieldHeightMm / field.height;
	return patches.map((patch) => ({
		reflectance: decodeSrgb(patch.code / 255),
		quadPx: cornersOf(patch).map((p) => applyHomography(surface.mmToPx, kx * (p.x - field.x), ky * (p.y - field.y))),
	}));
}

/**
 * Read neutrals: mean in linear light over the middle of each, without the highest and lowest tenth (specks, glints).
 *
 * @returns one reading per usable neutral; clipped, too dark or too small ones are left out
 */
export function readGreys(raster: Raster, places: readonly GreyPlace[]): GreyReading[] {
	return places.flatMap((place) => readGrey(raster, place) ?? []);
}

function readGrey(raster: Raster, { quadPx, reflectance }: GreyPlace): GreyReading | undefined {
	const atPx = {
		x: quadPx.reduce((s, p) => s + p.x, 0) / quadPx.length,
		y: quadPx.reduce((s, p) => s + p.y, 0) / quadPx.length,
	};
	const inner = quadPx.map((p) => ({
		x: atPx.x + INNER_SHARE * (p.x - atPx.x),
		y: atPx.y + INNER_SHARE * (p.y - atPx.y),
	}));
	const { pixels, counts } = codesInside(raster, inner);
	if (pixels < LEAST_PIXELS) return undefined;
	const linear = counts.map((count) => trimmedMean(count, pixels));
	if (linear.some((v) => v > HIGHEST_LINEAR || v < LOWEST_LINEAR)) return undefined;
	const [r, g, b] = linear as [number, number, number];
	return { reflectance, linear: [r, g, b], atPx };
}

/** How often each code comes among the pixels whose centres lie inside a convex clockwise polygon, per channel. */
function codesInside(
	raster: Raster,
	polygon: readonly PointPx[],
): { readonly pixels: number; readonly counts: readonly Uint32Array[] } {
	const xs = polygon.map((p) => p.x);
	const ys = polygon.map((p) => p.y);
	const lastColumn = Math.min(raster.width - 1, Math.ceil(Math.max(...xs)));
	const lastRow = Math.min(raster.height - 1, Math.ceil(Math.max(...ys)));
	const firstColumn = Math.max(0, Math.floor(Math.min(...xs)));
	const isInside = (column: number, row: number) =>
		polygon.every((p, i) => {
			const q = polygon[(i + 1) % polygon.length]!;
			return (q.x - p.x) * (row + 0.5 - p.y) - (q.y - p.y) * (column + 0.5 - p.x) >= 0;
		});
	const [reds, greens, blues] = [new Uint32Array(256), new Uint32Array(256), new Uint32Array(256)];
	const { data } = raster;
	let pixels = 0;
	for (let row = Math.max(0, Math.floor(Math.min(...ys))); row <= lastRow; row++) {
		// a convex polygon's pixels of one row follow one another
		let [from, to] = [firstColumn, lastColumn];
		while (from <= to && !isInside(from, row)) from++;
		while (to > from && !isInside(to, row)) to--;
		if (from > to) continue;
		pixels += to - from + 1;
		const end = 3 * (row * raster.width + to + 1);
		for (let at = 3 * (row * raster.width + from); at < end; at += 3) {
			reds[data[at]!]! += 1;
			greens[data[at + 1]!]! += 1;
			blues[data[at + 2]!]! += 1;
		}
	}
	return { pixels, counts: [reds, greens, blues] };
}

/** Mean light of one channel without the darkest and lightest tenth, by how often each code comes. */
function trimmedMean(count: Uint32Array, pixels: number): number {
	const cut = Math.floor(pixels / 10);
	let sum = 0;
	let passed = 0;
	for (let code = 0; code < 256; code++) {
		const from = Math.max(passed, cut);
		passed += count[code]!;
		const to = Math.min(passed, pixels - cut);
		if (to > from) sum += (to - from) * LINEAR_OF_CODE[code]!;
	}
	return sum / (pixels - 2 * cut);
}
