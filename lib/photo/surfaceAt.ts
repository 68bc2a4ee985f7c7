import type { Surface } from './surface';
import { surfaceFromCorners } from './tray';

/** A field as it is kept: plain figures. */
export interface KeptField {
	readonly surface: Surface['kind'];
	/** Field corners, pixels of the upright photo, clockwise from the field's top-left: x1, y1, ... x4, y4. */
	readonly cornersPx: readonly number[];
	readonly fieldWidthMm: number;
	readonly fieldHeightMm: number;
}

/**
 * A kept field as a surface again, on the photo or on a copy of it.
 *
 * @param scale - pixels of the copy per pixel of the photo
 * @throws TrayError `surface-missing` when the corners cannot be a field
 */
export function surfaceAt({ surface, cornersPx, fieldWidthMm, fieldHeightMm }: KeptField, scale = 1): Surface {
	const corners = [0, 2, 4, 6].map((at) => ({
		x: scale * (cornersPx[at] ?? Number.NaN),
		y: scale * (cornersPx[at + 1] ?? Number.NaN),
	}));
	return { ...surfaceFromCorners(corners, fieldWidthMm, fieldHeightMm), kind: surface };
}
