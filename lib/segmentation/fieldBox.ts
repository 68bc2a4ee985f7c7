import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';

/** The part of a photo that holds the field. */
export interface FieldBox {
	readonly width: number;
	readonly height: number;
	/** Where the box's top-left pixel sits on the upright photo. */
	readonly columnOffset: number;
	readonly rowOffset: number;
	/** 1 for pixels whose centre lies inside the field, else 0; height x width. */
	readonly inside: Uint8Array;
}

/**
 * Bounding box of the field, clipped to the photo.
 *
 * @returns a box without pixels where the field lies outside the photo
 */
export function fieldBoxOf(raster: Pick<Raster, 'width' | 'height'>, surface: Surface): FieldBox {
	const { width, height, columnOffset, rowOffset } = boundsOf(raster, surface);
	const inside = new Uint8Array(width * height);
	for (let row = 0; row < height; row++) {
		const [from, to] = span(surface, row + rowOffset + 0.5, columnOffset, columnOffset + width);
		if (from < to) inside.fill(1, row * width + from - columnOffset, row * width + to - columnOffset);
	}
	return { width, height, columnOffset, rowOffset, inside };
}

/** Where that box lies. */
export function boundsOf(
	raster: Pick<Raster, 'width' | 'height'>,
	surface: Pick<Surface, 'cornersPx'>,
): Omit<FieldBox, 'inside'> {
	const xs = surface.cornersPx.map((p) => p.x);
	const ys = surface.cornersPx.map((p) => p.y);
	const columnOffset = Math.max(0, Math.floor(Math.min(...xs)));
	const rowOffset = Math.max(0, Math.floor(Math.min(...ys)));
	const width = Math.max(0, Math.min(raster.width, Math.ceil(Math.max(...xs))) - columnOffset);
	const height = Math.max(0, Math.min(raster.height, Math.ceil(Math.max(...ys))) - rowOffset);
	return { width, height, columnOffset, rowOffset };
}

/** How many columns about a crossed edge are tried one by one: more than rounding can be off. */
const TRIED = 2;

/**
 * Columns whose centres lie inside the field on one line of the photo. The field is convex, so they follow one another: the edges
 * that the line crosses say about where, the plane map decides at the ends.
 */
function span(surface: Surface, y: number, left: number, right: number): [from: number, to: number] {
	const { cornersPx, pxToMm: m, fieldWidthMm, fieldHeightMm } = surface;
	let low = Number.POSITIVE_INFINITY;
	let high = Number.NEGATIVE_INFINITY;
	for (const [i, p] of cornersPx.entries()) {
		const q = cornersPx[(i + 1) % 4]!;
		if (Math.min(p.y, q.y) > y || Math.max(p.y, q.y) < y) continue;
		for (const x of p.y === q.y ? [p.x, q.x] : [p.x + ((y - p.y) * (q.x - p.x)) / (q.y - p.y)]) {
			low = Math.min(low, x);
			high = Math.max(high, x);
		}
	}
	if (low > high) return [0, 0];
	const isWithin = (column: number) => {
		const x = column + 0.5;
		const w = m[6] * x + m[7] * y + m[8];
		const xMm = (m[0] * x + m[1] * y + m[2]) / w;
		const yMm = (m[3] * x + m[4] * y + m[5]) / w;
		return xMm >= 0 && yMm >= 0 && xMm <= fieldWidthMm && yMm <= fieldHeightMm;
	};
	let from = Math.max(left, Math.floor(low) - TRIED);
	let to = Math.min(right, Math.ceil(high) + TRIED);
	while (from < to && !isWithin(from)) from++;
	while (to > from && !isWithin(to - 1)) to--;
	return [from, to];
}
