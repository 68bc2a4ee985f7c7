import { medianOf } from '@/lib/quantity/moments';
import { luminanceBetween } from './luminanceBetween';
import { MODULES_PER_SIDE } from './markerCodes';
import type { PointPx, Raster } from './raster';

export interface RefinedCorners {
	readonly cornersPx: readonly [PointPx, PointPx, PointPx, PointPx];
	readonly edgeWidthPx?: number;
}

interface Line {
	readonly at: PointPx;
	readonly direction: PointPx;
}

interface EdgePoint extends PointPx {
	readonly contrast: number;
	readonly widthPx: number;
}

/** The last pass measures; those before it only bring the lines near enough, with fewer and coarser profiles. */
const PASSES = 3;
const PROFILES_PER_SIDE = 48;
const ROUGH_PROFILES = 16;
/** Samples to either side of the edge in a coarse profile, and at most in a fine one: large marks show no more by more. */
const ROUGH_HALF = 24;
const MOST_HALF = 48;
/** Keeps profiles clear of the corners, where two edges meet. */
const SIDE_MARGIN = 0.12;
const SAMPLE_STEP_PX = 0.25;

/**
 * Move a mark's corners from whole pixels to where its black edges truly are.
 *
 * Blur happens in linear light, so each edge is placed where linear luminance is half way between the local black and
 * the local white (a threshold on sRGB codes would sit some 0.4 px inside). A line is fitted through such points on each
 * side, twice robustly, and neighbouring lines are crossed. Corners that cannot be refined stay as they came.
 *
 * @param rough - four corners, clockwise
 * @param roughnessPx - how far the rough corners may be off
 * @param gamma - 1 halves linear light; about 2.2 halves what the codes show, as detectors that work on codes do
 * @source half-height edge position of a symmetric blur; method as in OpenCV's line refinement of square marks (from memory)
 */
export function refineCorners(
	raster: Raster,
	rough: readonly PointPx[],
	roughnessPx: number,
	gamma = 1,
): RefinedCorners {
	let corners = rough;
	let edges: EdgePoint[][] = [];
	for (let pass = 0; pass < PASSES; pass++) {
		const sidePx = corners.reduce((s, c, i) => s + distance(c, corners[(i + 1) % 4]!), 0) / 4;
		const modulePx = sidePx / MODULES_PER_SIDE;
		// within one module of the edge lie only the black border and the white around the mark
		const reachPx = Math.min(0.8 * modulePx, pass === 0 ? Math.max(4, 2.5 * roughnessPx) : Math.max(4, 0.5 * modulePx));
		const profiles =
			pass < PASSES - 1
				? { count: ROUGH_PROFILES, stepPx: Math.max(SAMPLE_STEP_PX, reachPx / ROUGH_HALF) }
				: { count: PROFILES_PER_SIDE, stepPx: Math.max(SAMPLE_STEP_PX, reachPx / MOST_HALF) };
		edges = corners.map((corner, i) => edgePoints(raster, corner, corners[(i + 1) % 4]!, reachPx, profiles, gamma));
		const lines = edges.map(fitLine);
		const next = lines.map((line, i) => line && crossing(lines[(i + 3) % 4], line));
		if (next.some((p, i) => !p || distance(p, rough[i]!) > Math.max(4, 3 * roughnessPx))) break;
		corners = next as PointPx[]; // all present: checked on the line above
	}
	const steps = edges.flat();
	const edgeWidthPx = steps.length >= PROFILES_PER_SIDE ? medianOf(widthsOf(steps)) : undefined;
	const [a, b, c, d] = corners as [PointPx, PointPx, PointPx, PointPx];
	return { cornersPx: [a, b, c, d], ...(edgeWidthPx === undefined ? {} : { edgeWidthPx }) };
}

/** Points on the black-to-white step of one side; the mark is on the right hand of a -> b (clockwise corners, y down). */
function edgePoints(
	raster: Raster,
	a: PointPx,
	b: PointPx,
	reachPx: number,
	{ count, stepPx }: { readonly count: number; readonly stepPx: number },
	gamma: number,
): EdgePoint[] {
	const length = distance(a, b);
	const along = { x: (b.x - a.x) / length, y: (b.y - a.y) / length };
	const outward = { x: along.y, y: -along.x };
	const half = Math.ceil(reachPx / stepPx);
	const profile = new Float64Array(2 * half + 1);
	const found: EdgePoint[] = [];
	for (let i = 0; i < count; i++) {
		const t = length * (SIDE_MARGIN + ((1 - 2 * SIDE_MARGIN) * i) / (count - 1));
		const x = a.x + t * along.x;
		const y = a.y + t * along.y;
		for (let k = -half; k <= half; k++) {
			const s = k * stepPx;
			const light = luminanceBetween(raster, x + s * outward.x, y + s * outward.y);
			profile[k + half] = gamma === 1 ? light : light ** (1 / gamma);
		}
		const step = stepOf(profile);
		if (!step) continue;
		const s = (step.at - half) * stepPx;
		found.push({
			x: x + s * outward.x,
			y: y + s * outward.y,
			contrast: step.contrast,
			widthPx: step.width * stepPx,
		});
	}
	return clear(found);
}

/** The steps with at least half the usual contrast. */
function clear(found: readonly EdgePoint[]): EdgePoint[] {
	const contrasts = new Float64Array(found.length);
	for (let k = 0; k < contrasts.length; k++) contrasts[k] = found[k]!.contrast;
	const least = found.length === 0 ? 0 : 0.5 * medianOf(contrasts);
	const kept: EdgePoint[] = [];
	for (let k = 0; k < found.length; k++) if (found[k]!.contrast > least) kept.push(found[k]!);
	return kept;
}

function widthsOf(steps: readonly EdgePoint[]): Float64Array {
	const widths = new Float64Array(steps.length);
	for (let k = 0; k < widths.length; k++) widths[k] = steps[k]!.widthPx;
	return widths;
}

/** Where a profile rises through half height, and its 10 to 90 % width, both in samples; undefined without a clear rise. */
function stepOf(profile: Float64Array): { at: number; contrast: number; width: number } | undefined {
	const n = profile.length;
	const end = Math.max(2, Math.round(0.2 * n));
	const dark = medianWithin(profile, 0, end);
	const light = medianWithin(profile, n - end, n);
	const contrast = light - dark;
	if (!(contrast > 0.03)) return undefined;
	const half = rise(profile, dark + 0.5 * contrast);
	const low = rise(profile, dark + 0.1 * contrast);
	const high = rise(profile, dark + 0.9 * contrast);
	if (half === undefined || low === undefined || high === undefined) return undefined;
	return { at: half, contrast, width: Math.max(0, high - low) };
}

/** The crossing of a level nearest to the middle of the profile. */
function rise(profile: Float64Array, level: number): number | undefined {
	const middle = (profile.length - 1) / 2;
	let best: number | undefined;
	for (let i = 1; i < profile.length; i++) {
		const before = profile[i - 1]!;
		const after = profile[i]!;
		if (!(before < level && after >= level)) continue;
		const at = i - 1 + (level - before) / (after - before);
		if (best === undefined || Math.abs(at - middle) < Math.abs(best - middle)) best = at;
	}
	return best;
}

/** Orthogonal line fit, twice: the second time without points farther off than three times the median distance. */
function fitLine(points: readonly EdgePoint[]): Line | undefined {
	let kept: readonly PointPx[] = points;
	let line: Line | undefined;
	for (let round = 0; round < 3; round++) {
		if (kept.length < 8) return undefined;
		const n = kept.length;
		const x = kept.reduce((s, p) => s + p.x, 0) / n;
		const y = kept.reduce((s, p) => s + p.y, 0) / n;
		let xx = 0;
		let xy = 0;
		let yy = 0;
		for (const p of kept) {
			xx += (p.x - x) ** 2;
			xy += (p.x - x) * (p.y - y);
			yy += (p.y - y) ** 2;
		}
		const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
		const fitted: Line = { at: { x, y }, direction: { x: Math.cos(angle), y: Math.sin(angle) } };
		kept = nearLine(points, fitted);
		line = fitted;
	}
	return line;
}

/** The points no farther off a line than three times the median distance, or a tenth of a pixel. */
function nearLine(points: readonly PointPx[], { at, direction }: Line): PointPx[] {
	const off = new Float64Array(points.length);
	for (let k = 0; k < off.length; k++)
		off[k] = Math.abs((points[k]!.x - at.x) * direction.y - (points[k]!.y - at.y) * direction.x);
	const limit = Math.max(0.1, 3 * (off.length === 0 ? 0 : medianOf(off)));
	const kept: PointPx[] = [];
	for (let k = 0; k < off.length; k++) if (off[k]! <= limit) kept.push(points[k]!);
	return kept;
}

function crossing(a: Line | undefined, b: Line): PointPx | undefined {
	if (!a) return undefined;
	const det = a.direction.x * b.direction.y - a.direction.y * b.direction.x;
	if (Math.abs(det) < 0.1) return undefined;
	const t = ((b.at.x - a.at.x) * b.direction.y - (b.at.y - a.at.y) * b.direction.x) / det;
	return { x: a.at.x + t * a.direction.x, y: a.at.y + t * a.direction.y };
}

function distance(a: PointPx, b: PointPx): number {
	return Math.hypot(a.x - b.x, a.y - b.y);
}

/** Middle of so many numbers in order. */
function middleOf(sorted: Float64Array, count: number): number {
	const middle = count >> 1;
	return count % 2 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

/** A fifth of the longest profile. */
const inOrder = new Float64Array(MOST_HALF);

/** Median of the few numbers from one place to another (not included), which stay as they are. */
function medianWithin(values: Float64Array, from: number, to: number): number {
	// so few are sooner put in their places than handed to `sort`
	for (let k = from; k < to; k++) {
		const value = values[k]!;
		let at = k - from;
		for (; at > 0 && inOrder[at - 1]! > value; at--) inOrder[at] = inOrder[at - 1]!;
		inOrder[at] = value;
	}
	return middleOf(inOrder, to - from);
}
