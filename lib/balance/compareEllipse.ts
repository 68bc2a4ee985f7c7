import { covarianceOf, meanOf } from '../quantity/moments';

/** An ellipse in the plane of two figures, in their units; the angle turns the first axis against that of `x`. */
export interface Ellipse {
	readonly x: number;
	readonly y: number;
	/** Half axes, the larger first. */
	readonly halfAxes: readonly [number, number];
	/** Radians, from the x axis towards the y axis, to the larger half axis. */
	readonly angle: number;
}

/**
 * The ellipse that holds two jointly drawn figures 95 times in 100, taking their joint distribution for normal.
 *
 * @param x - draws of the first figure
 * @param y - draws of the second, aligned
 * @source axes from the eigenvectors of the covariance matrix; 95 % of two normal variables lie within chi-square with 2
 *   degrees of freedom, -2 ln 0.05: JCGM 102:2011 7.7.2
 */
export function coverageEllipseOf(x: Float64Array, y: Float64Array): Ellipse {
	const kept = Array.from(x, (_, i) => i).filter((i) => Number.isFinite(x[i]) && Number.isFinite(y[i]));
	const [xs, ys] = [kept.map((i) => x[i]!), kept.map((i) => y[i]!)];
	const [varX, varY, cov] = [covarianceOf(xs, xs), covarianceOf(ys, ys), covarianceOf(xs, ys)];
	const mid = (varX + varY) / 2;
	const off = Math.hypot((varX - varY) / 2, cov);
	const scale = -2 * Math.log(0.05);
	return {
		x: meanOf(xs),
		y: meanOf(ys),
		halfAxes: [Math.sqrt(scale * (mid + off)), Math.sqrt(scale * Math.max(0, mid - off))],
		angle: 0.5 * Math.atan2(2 * cov, varX - varY),
	};
}
