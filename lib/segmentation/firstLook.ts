import type { Material } from '../material/material';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { fieldCopy } from './fieldCopy';
import type { Light } from './light';
import { segmentByColour } from './segmentByThreshold';

/**
 * Pixels per millimetre, and pixels, that a first look keeps at least: a few to the side of a wide piece, and enough to find the surface's colours.
 */
const LOOK_PX_PER_MM = 1.2;
const LOOK_PX = 80_000;

/** A small class map of a field by colour alone, and its scale. */
export interface FirstLook extends ClassMap {
	readonly pxPerMm: number;
}

/**
 * Take a first look at a field on a small copy, by colour alone: what the model's answer is held against.
 *
 * @param raster - at any scale; `surface` lies on it
 */
export function firstLook(raster: Raster, surface: Surface, light: Light, material: Material): FirstLook {
	const { fieldWidthMm, fieldHeightMm } = surface;
	const least = Math.max(LOOK_PX_PER_MM, Math.sqrt(LOOK_PX / (fieldWidthMm * fieldHeightMm)));
	const small = fieldCopy(raster, surface, least);
	return { ...segmentByColour(small.raster, small.surface, light, material), pxPerMm: small.surface.pxPerMm };
}
