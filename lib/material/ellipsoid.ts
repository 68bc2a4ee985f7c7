/** LL, La, Lb, aa, ab, bb. */
type Covariance = readonly [number, number, number, number, number, number];

/** A colour ellipsoid made ready for many comparisons. */
export interface Ellipsoid {
	readonly L: number;
	readonly a: number;
	readonly b: number;
	/** Inverse covariance, upper triangle LL, La, Lb, aa, ab, bb. */
	readonly inverse: readonly [number, number, number, number, number, number];
	/** Logarithm of the covariance's determinant. */
	readonly logDet: number;
}

/**
 * Invert an ellipsoid's covariance.
 *
 * @throws RangeError when the covariance is not positive definite
 */
export function ellipsoidOf(patch: {
	readonly name: string;
	readonly centre: { readonly L: number; readonly a: number; readonly b: number };
	readonly covariance: Covariance;
}): Ellipsoid {
	const [ll, la, lb, aa, ab, bb] = patch.covariance;
	const det = determinant(patch.covariance);
	if (!isEllipsoid(patch.covariance)) {
		throw new RangeError(
			`colour '${patch.name}': positive definite covariance expected, got ${patch.covariance.join(', ')}`,
		);
	}
	return {
		...patch.centre,
		inverse: [
			(aa * bb - ab * ab) / det,
			(lb * ab - la * bb) / det,
			(la * ab - lb * aa) / det,
			(ll * bb - lb * lb) / det,
			(la * lb - ll * ab) / det,
			(ll * aa - la * la) / det,
		],
		logDet: Math.log(det),
	};
}

/** Squared Mahalanobis distance of a colour from an ellipsoid's centre. */
export function squaredDistance(e: Ellipsoid, L: number, a: number, b: number): number {
	const x = L - e.L;
	const y = a - e.a;
	const z = b - e.b;
	const [ll, la, lb, aa, ab, bb] = e.inverse;
	return x * (ll * x + 2 * (la * y + lb * z)) + y * (aa * y + 2 * ab * z) + bb * z * z;
}

/** Whether a covariance (upper triangle) is positive definite. */
export function isEllipsoid(covariance: Covariance): boolean {
	const [ll, la, , aa] = covariance;
	return ll > 0 && ll * aa - la * la > 0 && determinant(covariance) > 0;
}

function determinant([ll, la, lb, aa, ab, bb]: Covariance): number {
	return ll * (aa * bb - ab * ab) - la * (la * bb - ab * lb) + lb * (la * ab - aa * lb);
}
