import { TrayError } from '../errors/TrayError';
import { findMat, type MatFound, whyNoMat } from './findMat';
import { spoiltAllOver } from './judgeShot';
import { type PrintedScale, scaleOfSize } from './matGeometry';
import type { PointPx, Raster } from './raster';
import type { Surface } from './surface';
import { surfaceFromCorners, withFieldSize, withoutRim } from './tray';

/** How the person says the surface is to be found. */
export interface SurfaceRequest {
	readonly surface: 'auto' | 'mat' | 'tray';
	/** Field corners in pixels of the upright photo, clockwise from the field's top-left. */
	readonly corners?: readonly PointPx[] | undefined;
	/** Inner size of the field, where it is a plain tray or a mat printed at another size. */
	readonly fieldMm?: { readonly widthMm: number; readonly heightMm: number } | undefined;
	/** The mat's check line as measured over its length as drawn; 1 when left out. */
	readonly printedScale?: PrintedScale | undefined;
}

/** A surface, and the mat where it was found by its marks. */
export interface LocatedSurface {
	readonly surface: Surface;
	readonly mat?: MatFound;
}

/**
 * Find the field on a photo: by the mat's marks, or by given corners.
 *
 * `auto` is a plain tray where corners were given and the mat otherwise. On a `mat` given corners serve when the marks can't be found.
 *
 * @throws TrayError `surface-missing` with what to do when there is no field to be had
 */
export function locateSurface(raster: Raster, request: SurfaceRequest): LocatedSurface {
	const kind = request.surface === 'auto' ? (request.corners === undefined ? 'mat' : 'tray') : request.surface;
	if (kind === 'tray') return { surface: withoutRim(trayOf(raster, request), raster) };
	const mat = findMat(raster);
	if (!mat.found) {
		if (request.corners === undefined || request.fieldMm === undefined) {
			throw new TrayError(
				'surface-missing',
				'The spread mat was not found on the photo.',
				spoiltAllOver(raster)?.message ?? whyNoMat(raster, mat),
			);
		}
		return { surface: { ...trayOf(raster, request), kind: 'mat' } };
	}
	const scale = scaleOfSize(request.printedScale ?? 1, mat.size);
	const { widthMm, heightMm } = request.fieldMm ?? {
		widthMm: mat.surface.fieldWidthMm * scale,
		heightMm: mat.surface.fieldHeightMm * scale,
	};
	return { surface: withFieldSize(mat.surface, widthMm, heightMm), mat };
}

function trayOf(raster: Raster, { corners, fieldMm }: SurfaceRequest): Surface {
	if (corners === undefined) {
		throw new TrayError(
			'surface-missing',
			'A plain tray has no marks, so its corners are needed.',
			"Give the four inner corners, clockwise from the top-left, and the tray's inner size in millimetres.",
		);
	}
	if (fieldMm === undefined) {
		throw new TrayError(
			'surface-missing',
			'The inner size of the tray is not given, so areas would have no scale.',
			'Measure the inside of the tray and give width and height in millimetres.',
		);
	}
	return surfaceFromCorners(corners, fieldMm.widthMm, fieldMm.heightMm, raster);
}
