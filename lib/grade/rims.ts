/** Two rims, each evenly somewhere within its pixel. */
const BREADTH_U_PX = Math.sqrt(2 / 12);

/**
 * Relative standard uncertainty of a piece's breadth from where within a pixel either rim lies: a quarter for a strand of
 * 1.6 pixels, a thirtieth for a granule of 12.
 *
 * @param pixelMm - side of a pixel on the surface
 * @source rectangular limits of a digital indication: JCGM 100:2008 (GUM) 4.3.7
 */
export function breadthU(pixelMm: number, breadthMm: number): number {
	return breadthMm > 0 ? (pixelMm * BREADTH_U_PX) / breadthMm : 0;
}
