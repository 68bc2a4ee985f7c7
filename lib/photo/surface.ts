import type { CameraPlace } from './cameraPlace';
import type { PointPx } from './raster';

/** Row-major 3 x 3 matrix of a plane projective map. */
export type Matrix3 = readonly [number, number, number, number, number, number, number, number, number];

/** The mat or tray as found on one photo: where the spread field is, and how pixels become millimetres. */
export interface Surface {
	readonly kind: 'mat' | 'tray';
	/** Inner size of the field in millimetres. */
	readonly fieldWidthMm: number;
	readonly fieldHeightMm: number;
	/** Field corners, clockwise from the field's own top-left. */
	readonly cornersPx: readonly [PointPx, PointPx, PointPx, PointPx];
	/** Maps pixels (x, y, 1) to field millimetres, origin at the field's top-left corner. */
	readonly pxToMm: Matrix3;
	readonly mmToPx: Matrix3;
	/** Square root of (field area in pixels / field area in square millimetres). */
	readonly pxPerMm: number;
	/** Where the camera stood, millimetres on the field's axes, as far as the corners tell; undefined if they don't. */
	readonly camera?: CameraPlace;
}

/**
 * A surface of its parts. All are put together here, property by property: an object spread from another has a shape of its own on every photo,
 * and what was compiled for one is thrown away at the next.
 */
export function surfaceFrom(parts: Omit<Surface, 'camera'>, camera: CameraPlace | undefined): Surface {
	const { kind, fieldWidthMm, fieldHeightMm, cornersPx, pxToMm, mmToPx, pxPerMm } = parts;
	const made: { -readonly [Part in keyof Surface]: Surface[Part] } = {
		kind,
		fieldWidthMm,
		fieldHeightMm,
		cornersPx,
		pxToMm,
		mmToPx,
		pxPerMm,
	};
	if (camera !== undefined) made.camera = camera;
	return made;
}
