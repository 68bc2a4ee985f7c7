import type { LightCorrection } from '@/lib/colour/correctLight';
import type { Raster } from '@/lib/photo/raster';
import { encodeSrgb, LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import { seededRandom } from '@/lib/quantity/seededRandom';

export type Rgb = readonly [number, number, number];

/** A picture from linear reflectances, with a little grain, in light that needs no correction. */
export function photo(width: number, height: number, at: (x: number, y: number) => Rgb, grain = 0.004): Raster {
	const random = seededRandom(3, 'grain');
	const data = new Uint8Array(3 * width * height);
	for (let i = 0; i < width * height; i++) {
		const colour = at((i % width) + 0.5, Math.floor(i / width) + 0.5);
		for (let c = 0; c < 3; c++) {
			const linear = Math.max(0, colour[c]! + grain * random.normal());
			data[3 * i + c] = Math.min(255, Math.round(255 * encodeSrgb(linear)));
		}
	}
	return { width, height, channels: 3, colourSpace: 'srgb', data };
}

/** Light that is right as it is. */
export const PLAIN_LIGHT: Pick<LightCorrection, 'tables' | 'falloff'> = {
	tables: [LINEAR_OF_CODE, LINEAR_OF_CODE, LINEAR_OF_CODE],
};

export const PAPER: Rgb = [0.8, 0.8, 0.79];
export const COPPER: Rgb = [0.42, 0.24, 0.16];
export const RED_PLASTIC: Rgb = [0.4, 0.03, 0.025];
export const BLUE_PLASTIC: Rgb = [0.02, 0.08, 0.36];
