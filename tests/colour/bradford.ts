import { transform, type Xyz } from '@/lib/colour/primaries';
import { invertHomography, multiply } from '@/lib/photo/homography';
import type { Matrix3 } from '@/lib/photo/surface';

/** XYZ to the cone responses of the Bradford transform. */
const CONES: Matrix3 = [0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296];

/**
 * Matrix that carries XYZ seen under one white to another: for references given under D50, as printed charts are.
 *
 * @source K. M. Lam 1985 (Bradford), in the linear form of the ICC specification
 */
export function bradfordMatrix(from: Xyz, to: Xyz): Matrix3 {
	const a = transform(CONES, from);
	const b = transform(CONES, to);
	const scale: Matrix3 = [b[0] / a[0], 0, 0, 0, b[1] / a[1], 0, 0, 0, b[2] / a[2]];
	return multiply(invertHomography(CONES), multiply(scale, CONES));
}

/** XYZ, Y = 1, of a white given by its chromaticity. */
export function whiteOf(x: number, y: number): Xyz {
	return [x / y, 1, (1 - x - y) / y];
}
