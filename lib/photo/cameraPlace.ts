import type { Raster } from './raster';
import type { Matrix3 } from './surface';

/**
 * Focal length over picture diagonal assumed for the camera: a phone's main camera is close to 26 mm on a 43.3 mm
 * diagonal of 35 mm film. Common practice, no source. Tilt goes as this number, so 20 % of it is 20 % of the tilt.
 */
const FOCAL_PER_DIAGONAL = 26 / 43.27;

/** Where the lens stood over a flat surface, and how it looked at it. */
export interface CameraPlace {
	/** Foot of the plumb line from the lens, on the surface's own axes; it may lie outside the picture. */
	readonly xMm: number;
	readonly yMm: number;
	readonly heightMm: number;
	/** Angle between the camera's axis and the surface's normal. */
	readonly tiltDeg: number;
	/**
	 * How many times as long a millimetre of the field's width lies there as one of its height: 1 where the field's size fits its corners.
	 * Within 1.01 on 84 rendered trays, 1.04 with a camera of twice the focal length assumed.
	 */
	readonly stretch: number;
}

/**
 * Where the camera stood, from the perspective of a flat surface; the height goes as the assumed focal length.
 *
 * @param mmToPx - maps surface millimetres to pixels of the whole, uncropped photo
 * @returns undefined where the map is degenerate
 * @source R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. 2004, 8.1 (columns of K^-1 H: axes, and the way to their origin)
 */
export function cameraPlaceOf(
	mmToPx: Matrix3,
	{ width, height }: Pick<Raster, 'width' | 'height'>,
): CameraPlace | undefined {
	const f = FOCAL_PER_DIAGONAL * Math.hypot(width, height);
	const column = (x: number, y: number, w: number): Vector => [
		(x - (width / 2) * w) / f,
		(y - (height / 2) * w) / f,
		w,
	];
	const alongX = column(mmToPx[0], mmToPx[3], mmToPx[6]);
	const alongY = column(mmToPx[1], mmToPx[4], mmToPx[7]);
	const toOrigin = column(mmToPx[2], mmToPx[5], mmToPx[8]);
	const [lengthX, lengthY] = [Math.hypot(...alongX), Math.hypot(...alongY)];
	const [u, v] = [scaled(alongX, 1 / lengthX), scaled(alongY, 1 / lengthY)];
	const normal = cross(u, v);
	const length = Math.hypot(...normal);
	if (!(length > 1e-9)) return undefined;
	const way = scaled(toOrigin, 2 / (lengthX + lengthY));
	return {
		xMm: -dot(u, way),
		yMm: -dot(v, way),
		heightMm: Math.abs(dot(normal, way)) / length,
		tiltDeg: (Math.acos(Math.min(1, Math.abs(normal[2]) / length)) * 180) / Math.PI,
		stretch: lengthX / lengthY,
	};
}

type Vector = readonly [number, number, number];

function dot(a: Vector, b: Vector): number {
	return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

function cross(a: Vector, b: Vector): Vector {
	return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function scaled(a: Vector, by: number): Vector {
	return [a[0] * by, a[1] * by, a[2] * by];
}
