import { invertHomography } from '@/lib/photo/homography';
import { rgbToXyzMatrix, SRGB_PRIMARIES, transform, type Xyz } from './primaries';

/** A colour in CIELAB, D65 white, 2 degree observer: L 0 to 100. */
export interface Cielab {
	readonly L: number;
	readonly a: number;
	readonly b: number;
}

/** Linear sRGB to XYZ. */
export const SRGB_TO_XYZ = rgbToXyzMatrix(SRGB_PRIMARIES);
/** XYZ to linear sRGB. */
export const XYZ_TO_SRGB = invertHomography(SRGB_TO_XYZ);
/** XYZ of the D65 white of sRGB. */
export const D65_WHITE: Xyz = transform(SRGB_TO_XYZ, [1, 1, 1]);

/** Exact rational constants of CIE 15:2004. */
export const CIELAB_EPSILON = 216 / 24389;
export const CIELAB_KAPPA = 24389 / 27;

/**
 * CIELAB of a colour in linear sRGB (white = 1 per channel; values above 1 and slightly below 0 are allowed).
 *
 * @source CIE 15:2004 / ISO/CIE 11664-4
 */
export function cielabOf(red: number, green: number, blue: number): Cielab {
	return xyzToCielab(transform(SRGB_TO_XYZ, [red, green, blue]), D65_WHITE);
}

/** Lightness L of the same colour: a third of the work. */
export function lightnessOf(red: number, green: number, blue: number): number {
	const y = SRGB_TO_XYZ[3] * red + SRGB_TO_XYZ[4] * green + SRGB_TO_XYZ[5] * blue;
	return 116 * cubeRoot(y / D65_WHITE[1]) - 16;
}

/** Back from CIELAB (D65) to linear sRGB; outside 0 to 1 where the colour is not in the sRGB gamut. */
export function linearOfCielab(colour: Cielab): Xyz {
	return transform(XYZ_TO_SRGB, cielabToXyz(colour, D65_WHITE));
}

/** XYZ of a CIELAB colour given against a white: printed references come against D50. */
export function cielabToXyz({ L, a, b }: Cielab, [xn, yn, zn]: Xyz): Xyz {
	const fy = (L + 16) / 116;
	const back = (f: number) => (f ** 3 > CIELAB_EPSILON ? f ** 3 : (116 * f - 16) / CIELAB_KAPPA);
	const y = L > CIELAB_KAPPA * CIELAB_EPSILON ? fy ** 3 : L / CIELAB_KAPPA;
	return [back(fy + a / 500) * xn, y * yn, back(fy - b / 200) * zn];
}

/** CIELAB of XYZ against a white. */
function xyzToCielab([x, y, z]: Xyz, [xn, yn, zn]: Xyz): Cielab {
	const fx = cubeRoot(x / xn);
	const fy = cubeRoot(y / yn);
	const fz = cubeRoot(z / zn);
	return { L: 116 * fy - 16, a: 500 * (fx - fy), b: 200 * (fy - fz) };
}

function cubeRoot(t: number): number {
	return t > CIELAB_EPSILON ? Math.cbrt(t) : (CIELAB_KAPPA * t + 16) / 116;
}
