import { TrayError } from '@/lib/errors/TrayError';
import { cameraPlaceOf } from './cameraPlace';
import { applyHomography, homographyOf, invertHomography, multiply } from './homography';
import { cornersOf } from './matGeometry';
import type { PointPx, Raster } from './raster';
import { type Matrix3, type Surface, surfaceFrom } from './surface';

/** Sizes of field that are believed, mm: below a postage stamp or above a table top the number is a slip. */
const FIELD_SIDE_MM = { least: 20, most: 2000 };

/** How far outside the picture a corner may lie, as a share of the picture's side: a finger's width, not another room. */
const OUTSIDE_SHARE = 0.25;

/** Smallest share of the picture that the field must fill; under it there are too few pixels for any piece. */
const LEAST_AREA_SHARE = 0.005;

/**
 * A plain tray's surface from the four corners of its inner floor, as dragged by the user or given on the command line.
 *
 * @param corners - in pixels of the upright photo, clockwise from the top-left
 * @param picture - the photo's size, to judge whether the corners lie on it
 * @throws TrayError `surface-missing` when the corners cannot be a flat tray seen by a camera: crossed, anticlockwise,
 *   far outside the picture, too small; or when the field's size cannot be believed
 */
export function surfaceFromCorners(
	corners: readonly PointPx[],
	fieldWidthMm: number,
	fieldHeightMm: number,
	picture?: Pick<Raster, 'width' | 'height'>,
): Surface {
	const [a, b, c, d] = corners;
	if (!a || !b || !c || !d || corners.length !== 4) {
		throw missing(`Four corners are needed, ${corners.length} were given.`);
	}
	for (const side of [fieldWidthMm, fieldHeightMm]) {
		if (!(side >= FIELD_SIDE_MM.least && side <= FIELD_SIDE_MM.most)) {
			throw new TrayError(
				'surface-missing',
				`A field side of ${side} mm cannot be right.`,
				`Give the inner size of the tray in millimetres, ${FIELD_SIDE_MM.least} to ${FIELD_SIDE_MM.most} each way.`,
			);
		}
	}
	const quad = [a, b, c, d] as const;
	checkShape(quad);
	if (picture) checkPlace(quad, picture);
	const field = { x: 0, y: 0, width: fieldWidthMm, height: fieldHeightMm };
	const mmToPx = homographyOf(cornersOf(field), quad);
	return surfaceOf('tray', mmToPx, fieldWidthMm, fieldHeightMm, picture);
}

/** The surface that a millimetre-to-pixel map and a field size make. */
export function surfaceOf(
	kind: Surface['kind'],
	mmToPx: Matrix3,
	fieldWidthMm: number,
	fieldHeightMm: number,
	picture?: Pick<Raster, 'width' | 'height'>,
): Surface {
	const quad = cornersOf({ x: 0, y: 0, width: fieldWidthMm, height: fieldHeightMm }).map((p) =>
		applyHomography(mmToPx, p.x, p.y),
	) as [PointPx, PointPx, PointPx, PointPx]; // four corners in, four out
	const pxPerMm = Math.sqrt(Math.abs(signedArea(quad)) / (fieldWidthMm * fieldHeightMm));
	const pxToMm = invertHomography(mmToPx);
	const parts = { kind, fieldWidthMm, fieldHeightMm, cornersPx: quad, pxToMm, mmToPx, pxPerMm };
	return surfaceFrom(parts, picture && cameraPlaceOf(mmToPx, picture));
}

/**
 * Width of the strip along a tray's walls that is not read, as a share of the shorter side. A corner rounded by r puts wall 0.3 r deep into the field: 1.5 to
 * 3 mm of a hand-sized tray (r of 5 to 10 mm, from memory); taps are off by a millimetre.
 */
const RIM_SHARE = 1 / 50;

/**
 * A plain tray's field without the strip along its walls, which looks like metal in places; whole where it fills the picture, which then shows no walls.
 *
 * @param tray - up to the walls
 */
export function withoutRim(tray: Surface, { width, height }: Pick<Raster, 'width' | 'height'>): Surface {
	const { kind, fieldWidthMm, fieldHeightMm, mmToPx, camera, cornersPx, pxPerMm } = tray;
	const rim = RIM_SHARE * Math.min(fieldWidthMm, fieldHeightMm);
	if (cornersPx.every(({ x, y }) => Math.max(Math.min(x, width - x), Math.min(y, height - y)) < rim * pxPerMm))
		return tray;
	const moved = multiply(mmToPx, [1, 0, rim, 0, 1, rim, 0, 0, 1]);
	const field = surfaceOf(kind, moved, fieldWidthMm - 2 * rim, fieldHeightMm - 2 * rim);
	return surfaceFrom(field, camera && { ...camera, xMm: camera.xMm - rim, yMm: camera.yMm - rim });
}

/** How far a plain tray goes on beyond the field that `withoutRim` left of it, mm. */
export function rimMm({ fieldWidthMm, fieldHeightMm }: Pick<Surface, 'fieldWidthMm' | 'fieldHeightMm'>): number {
	return (RIM_SHARE / (1 - 2 * RIM_SHARE)) * Math.min(fieldWidthMm, fieldHeightMm);
}

/**
 * The same surface with its field counted as another size, for a mat whose printer drew it larger or smaller.
 */
export function withFieldSize(surface: Surface, fieldWidthMm: number, fieldHeightMm: number): Surface {
	const kx = surface.fieldWidthMm / fieldWidthMm;
	const ky = surface.fieldHeightMm / fieldHeightMm;
	const [a, b, c, d, e, f, g, h, i] = surface.mmToPx;
	const mmToPx: Matrix3 = [a * kx, b * ky, c, d * kx, e * ky, f, g * kx, h * ky, i];
	const resized = surfaceOf(surface.kind, mmToPx, fieldWidthMm, fieldHeightMm);
	const { camera } = surface;
	if (camera === undefined) return resized;
	const { xMm, yMm, heightMm, tiltDeg, stretch } = camera;
	return surfaceFrom(resized, {
		xMm: xMm / kx,
		yMm: yMm / ky,
		heightMm: heightMm / Math.sqrt(kx * ky),
		tiltDeg,
		stretch: (stretch * kx) / ky,
	});
}

/** Twice-checked order: positive when clockwise on a picture (y down). */
export function signedArea(quad: readonly PointPx[]): number {
	return quad.reduce((sum, p, i) => {
		const q = quad[(i + 1) % quad.length]!;
		return sum + (p.x * q.y - q.x * p.y) / 2;
	}, 0);
}

function checkShape(quad: readonly PointPx[]): void {
	if (!quad.every((p) => Number.isFinite(p.x) && Number.isFinite(p.y))) throw missing('A corner is not a number.');
	const turns = quad.map((p, i) => {
		const q = quad[(i + 1) % 4]!;
		const r = quad[(i + 2) % 4]!;
		const cross = (q.x - p.x) * (r.y - q.y) - (q.y - p.y) * (r.x - q.x);
		return cross / (Math.hypot(q.x - p.x, q.y - p.y) * Math.hypot(r.x - q.x, r.y - q.y));
	});
	if (turns.some((t) => !(Math.abs(t) > 0.1))) throw missing('Three corners lie on one line, or two on one spot.');
	if (turns.every((t) => t < 0)) throw missing('The corners run anticlockwise.');
	if (!turns.every((t) => t > 0)) throw missing('The lines between the corners cross or bend inwards.');
}

function checkPlace(quad: readonly PointPx[], { width, height }: Pick<Raster, 'width' | 'height'>): void {
	const outside = quad.some(
		(p) =>
			p.x < -OUTSIDE_SHARE * width ||
			p.x > (1 + OUTSIDE_SHARE) * width ||
			p.y < -OUTSIDE_SHARE * height ||
			p.y > (1 + OUTSIDE_SHARE) * height,
	);
	if (outside) throw missing(`A corner lies far outside the picture of ${width} x ${height} pixels.`);
	if (signedArea(quad) < LEAST_AREA_SHARE * width * height) {
		throw missing('The corners enclose less than half a per cent of the picture.');
	}
}

function missing(message: string): TrayError {
	return new TrayError(
		'surface-missing',
		message,
		"Set the four corners of the tray's inner floor on the upright photo, clockwise from the top-left.",
	);
}
