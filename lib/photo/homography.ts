import { Matrix, solve } from 'ml-matrix';
import type { Matrix3 } from './surface';

interface Point {
	readonly x: number;
	readonly y: number;
}

/**
 * Plane projective map that carries `from` to `to`: exact for four points, least squares for more.
 *
 * The direct linear equations are solved on points shifted to their centroid and scaled to a mean distance of sqrt(2);
 * the last element is fixed to 1 there, which is safe because it is the projective weight at the points' own centroid.
 * Result is scaled so that its last element is 1 where that is possible.
 *
 * @throws RangeError for fewer than four pairs, unequal lengths, or points that do not fix a map (three on a line)
 * @source R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. 2004, section 4.1 and 4.4 (from memory)
 */
export function homographyOf(from: readonly Point[], to: readonly Point[]): Matrix3 {
	if (from.length !== to.length)
		throw new RangeError(`from and to: equal lengths expected, got ${from.length}, ${to.length}`);
	if (from.length < 4) throw new RangeError(`from: at least four points expected, got ${from.length}`);
	const a = normalising(from);
	const b = normalising(to);
	const rows: number[][] = [];
	const right: number[][] = [];
	for (let i = 0; i < from.length; i++) {
		const p = applyHomography(a, from[i]!.x, from[i]!.y);
		const q = applyHomography(b, to[i]!.x, to[i]!.y);
		rows.push([p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y], [0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y]);
		right.push([q.x], [q.y]);
	}
	// by singular values: degenerate points give a singular map, found below, instead of an exception of the library's
	const h = solve(new Matrix(rows), new Matrix(right), true).to1DArray();
	const inner = [...h, 1] as unknown as Matrix3; // eight unknowns solved for, the ninth fixed
	const map = multiply(invertHomography(b), multiply(inner, a));
	if (!map.every(Number.isFinite) || Math.abs(determinant(inner)) < 1e-9) {
		throw new RangeError('from, to: points in general position expected, got points on a line');
	}
	const last = map[8];
	return Math.abs(last) > 1e-12 ? (map.map((v) => v / last) as unknown as Matrix3) : map;
}

/** Where a map carries (x, y). Infinite where the point lies on the map's vanishing line. */
export function applyHomography(map: Matrix3, x: number, y: number): Point {
	const w = map[6] * x + map[7] * y + map[8];
	return { x: (map[0] * x + map[1] * y + map[2]) / w, y: (map[3] * x + map[4] * y + map[5]) / w };
}

/**
 * The way back.
 *
 * @throws RangeError when the map has no inverse
 */
export function invertHomography(map: Matrix3): Matrix3 {
	const [a, b, c, d, e, f, g, h, i] = map;
	const det = determinant(map);
	if (!(Math.abs(det) > 0)) throw new RangeError(`map: invertible matrix expected, got determinant ${det}`);
	const back = [
		e * i - f * h,
		c * h - b * i,
		b * f - c * e,
		f * g - d * i,
		a * i - c * g,
		c * d - a * f,
		d * h - e * g,
		b * g - a * h,
		a * e - b * d,
	].map((v) => v / det);
	return back as unknown as Matrix3; // nine elements, listed above
}

/**
 * Square millimetres that one pixel at (x, y) covers: the determinant of the map's Jacobian, |det H| / |w|^3.
 *
 * @param pxToMm - maps pixels to millimetres on the flat surface
 * @source derived by differentiating the projective map; checked against finite differences in tests/photo
 */
export function areaPerPixelMm2(pxToMm: Matrix3, x: number, y: number): number {
	const w = pxToMm[6] * x + pxToMm[7] * y + pxToMm[8];
	return Math.abs(determinant(pxToMm) / (w * w * w));
}

/** Determinant of a 3 x 3 matrix, row-major. */
export function determinant([a, b, c, d, e, f, g, h, i]: Matrix3): number {
	return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
}

/** Matrix product, `a` after `b`. */
export function multiply(a: Matrix3, b: Matrix3): Matrix3 {
	const out: number[] = [];
	for (let r = 0; r < 3; r++) {
		for (let c = 0; c < 3; c++) {
			out.push(a[3 * r]! * b[c]! + a[3 * r + 1]! * b[3 + c]! + a[3 * r + 2]! * b[6 + c]!);
		}
	}
	return out as unknown as Matrix3; // nine elements pushed
}

function normalising(points: readonly Point[]): Matrix3 {
	const n = points.length;
	const cx = points.reduce((s, p) => s + p.x, 0) / n;
	const cy = points.reduce((s, p) => s + p.y, 0) / n;
	const spread = points.reduce((s, p) => s + Math.hypot(p.x - cx, p.y - cy), 0) / n;
	if (!(spread > 0)) throw new RangeError('points: distinct points expected, got one place');
	const k = Math.SQRT2 / spread;
	return [k, 0, -k * cx, 0, k, -k * cy, 0, 0, 1];
}
