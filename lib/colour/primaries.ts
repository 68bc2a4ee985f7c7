import { invertHomography, multiply } from '@/lib/photo/homography';
import type { Matrix3 } from '@/lib/photo/surface';

/** Chromaticity coordinates x, y of a display's red, green, blue and white. */
export interface Primaries {
	readonly red: readonly [x: number, y: number];
	readonly green: readonly [x: number, y: number];
	readonly blue: readonly [x: number, y: number];
	readonly white: readonly [x: number, y: number];
}

/** D65 as sRGB and Display P3 define it. One white everywhere: mixing two D65s leaves greys with a tint. */
const D65 = [0.3127, 0.329] as const;

/** @source IEC 61966-2-1:1999 */
export const SRGB_PRIMARIES: Primaries = { red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06], white: D65 };

/**
 * Linear RGB to CIE XYZ (Y of white = 1), derived at full precision from the primaries.
 *
 * @source SMPTE RP 177-1993, derivation of basic television colour equations (from memory)
 */
export function rgbToXyzMatrix({ red, green, blue, white }: Primaries): Matrix3 {
	const [r, g, b, w] = [red, green, blue, white].map(([x, y]) => [x / y, 1, (1 - x - y) / y] as const) as [
		Xyz,
		Xyz,
		Xyz,
		Xyz,
	]; // four in, four out
	const columns: Matrix3 = [r[0], g[0], b[0], r[1], g[1], b[1], r[2], g[2], b[2]];
	const [sr, sg, sb] = transform(invertHomography(columns), w);
	return multiply(columns, [sr, 0, 0, 0, sg, 0, 0, 0, sb]);
}

/** Three numbers of a tristimulus space. */
export type Xyz = readonly [number, number, number];

/** Matrix times column. */
export function transform(m: Matrix3, [x, y, z]: Xyz): Xyz {
	return [m[0] * x + m[1] * y + m[2] * z, m[3] * x + m[4] * y + m[5] * z, m[6] * x + m[7] * y + m[8] * z];
}
