import type { PointPx, Raster } from './raster';
import { BLUE_PART, GREEN_PART, RED_PART } from './srgbCurve';
import type { Surface } from './surface';

/** How the field was exposed, and how much of it the picture shows. */
export interface FieldExposure {
	/** Share of the field's pixels whose three channels are all at the top of the scale. */
	readonly clippedShare: number;
	/** The same, counting only patches as wide as a glint on wet plastic or a lamp's mirror image is, not a wire's sparkle. */
	readonly clippedPatchShare: number;
	/** Linear luminance of the field's median pixel and of its brightest hundredth. */
	readonly median: number;
	readonly bright: number;
	/** Share of the field that lies inside the picture. */
	readonly insideShare: number;
}

/** From this code on a channel counts as clipped: the last codes are reached by noise and sharpening from clipped ones. */
const CLIPPED_CODE = 252;
/** Side of a clipped patch, mm: wider than any strand's sparkle. Common practice, no source. */
const PATCH_MM = 1.5;
/** Pixels looked at along the field's box, at most. */
const SAMPLES_ACROSS = 600;

/** Count clipped, dark and missing pixels of the field on a grid of samples. */
export function fieldExposure(raster: Raster, surface: Surface): FieldExposure {
	const xs = surface.cornersPx.map((p) => p.x);
	const ys = surface.cornersPx.map((p) => p.y);
	const [left, right] = [Math.floor(Math.min(...xs)), Math.ceil(Math.max(...xs))];
	const [top, bottom] = [Math.floor(Math.min(...ys)), Math.ceil(Math.max(...ys))];
	const step = Math.max(1, Math.floor(Math.max(right - left, bottom - top) / SAMPLES_ACROSS));
	const reach = Math.max(1, Math.round((PATCH_MM * surface.pxPerMm) / 2));
	const histogram = new Uint32Array(1024);
	const counts: Counts = { all: 0, inside: 0, clipped: 0, inPatch: 0 };
	for (let row = top; row < bottom; row += step) {
		const [from, to] = spanOf(surface.cornersPx, row + 0.5);
		const first = left + step * Math.max(0, Math.ceil((from - 0.5 - left) / step));
		// columns whose centres lie at `to` or before it
		const past = Math.min(right, Math.floor(to + 0.5));
		countRow(raster, { row, first, past, step, reach }, histogram, counts);
	}
	const { all, inside, clipped, inPatch } = counts;
	const share = (n: number) => (inside === 0 ? 0 : n / inside);
	return {
		clippedShare: share(clipped),
		clippedPatchShare: share(inPatch),
		median: quantile(histogram, inside, 0.5),
		bright: quantile(histogram, inside, 0.99),
		insideShare: all === 0 ? 0 : inside / all,
	};
}

/** Samples of the field, those on the picture, those that are clipped, and those in a clipped patch. */
interface Counts {
	all: number;
	inside: number;
	clipped: number;
	inPatch: number;
}

/** Samples of one line of the picture. */
interface Samples {
	readonly row: number;
	readonly first: number;
	readonly past: number;
	readonly step: number;
	readonly reach: number;
}

function countRow(
	raster: Raster,
	{ row, first, past, step, reach }: Samples,
	histogram: Uint32Array,
	counts: Counts,
): void {
	const { data, width, height } = raster;
	const samples = Math.max(0, Math.ceil((past - first) / step));
	counts.all += samples;
	if (row < 0 || row >= height) return;
	const base = 3 * row * width;
	// samples before the picture's first column and behind its last are of the field, but not on the picture
	const from = first < 0 ? first + step * Math.ceil(-first / step) : first;
	const to = Math.min(past, width);
	if (to <= from) return;
	counts.inside += Math.ceil((to - from) / step);
	// Hot loop.
	for (let at = base + 3 * from, end = base + 3 * to; at < end; at += 3 * step) {
		const [r, g, b] = [data[at]!, data[at + 1]!, data[at + 2]!];
		// not below nought, so cutting off is rounding down
		const bin = (1023 * (RED_PART[r]! + GREEN_PART[g]! + BLUE_PART[b]!)) | 0;
		histogram[Math.min(bin, 1023)]!++;
		if (r < CLIPPED_CODE || g < CLIPPED_CODE || b < CLIPPED_CODE) continue;
		counts.clipped++;
		const column = (at - base) / 3;
		if (
			isClipped(raster, column - reach, row) &&
			isClipped(raster, column + reach, row) &&
			isClipped(raster, column, row - reach) &&
			isClipped(raster, column, row + reach)
		)
			counts.inPatch++;
	}
}

function isClipped(raster: Raster, column: number, row: number): boolean {
	if (column < 0 || row < 0 || column >= raster.width || row >= raster.height) return false;
	const at = 3 * (row * raster.width + column);
	return (
		raster.data[at]! >= CLIPPED_CODE && raster.data[at + 1]! >= CLIPPED_CODE && raster.data[at + 2]! >= CLIPPED_CODE
	);
}

/** From where to where a line of the picture lies in a convex quadrangle, clockwise; from beyond to short of where it doesn't. */
function spanOf(quad: readonly PointPx[], y: number): readonly [from: number, to: number] {
	let [from, to] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
	for (const [i, p] of quad.entries()) {
		const q = quad[(i + 1) % 4]!;
		const rise = q.y - p.y;
		// inside is where (q - p) x (point - p) is not below zero
		if (rise === 0) {
			if ((q.x - p.x) * (y - p.y) < 0) return [1, 0];
			continue;
		}
		const x = p.x + ((q.x - p.x) * (y - p.y)) / rise;
		if (rise > 0) to = Math.min(to, x);
		else from = Math.max(from, x);
	}
	return [from, to];
}

function quantile(histogram: Uint32Array, count: number, share: number): number {
	let passed = 0;
	for (const [bin, n] of histogram.entries()) {
		passed += n;
		if (passed >= share * count) return (bin + 0.5) / 1024;
	}
	return 1;
}
