import { applyHomography } from '@/lib/photo/homography';
import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';
import type { LightCorrection } from './correctLight';
import { lightAt } from './falloff';

/** Corrected linear reflectance of one pixel; the slow, obvious way that loops over pixels are held to. */
export function reflectanceAt(
	raster: Raster,
	surface: Surface,
	light: LightCorrection,
	column: number,
	row: number,
): [number, number, number] {
	const { x, y } = applyHomography(surface.pxToMm, column + 0.5, row + 0.5);
	const there = light.falloff ? lightAt(light.falloff, x, y) : [1, 1, 1];
	const at = 3 * (row * raster.width + column);
	return light.tables.map((table, c) => table[raster.data[at + c]!]! / there[c]!) as [number, number, number];
}
