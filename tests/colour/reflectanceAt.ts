import type { LightCorrection } from '@/lib/colour/correctLight';
import { lightAt } from '@/lib/colour/falloff';
import { applyHomography } from '@/lib/photo/homography';
import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';

/** Corrected linear reflectance of one pixel; the slow, obvious way. */
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
