/**
 * sRGB code (0 to 1) to linear light (0 to 1).
 *
 * @source IEC 61966-2-1:1999
 */
export function decodeSrgb(code: number): number {
	return code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;
}

/**
 * Linear light (0 to 1) to sRGB code (0 to 1).
 *
 * @source IEC 61966-2-1:1999
 */
export function encodeSrgb(linear: number): number {
	return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

/** Linear light of the 256 sRGB byte codes. */
export const LINEAR_OF_CODE: Float32Array = Float32Array.from({ length: 256 }, (_, code) => decodeSrgb(code / 255));

/** Parts of luminance by channel and code. Weights: IEC 61966-2-1. */
export const [RED_PART, GREEN_PART, BLUE_PART] = [0.2126, 0.7152, 0.0722].map((weight) =>
	Float64Array.from(LINEAR_OF_CODE, (linear) => weight * linear),
) as [Float64Array, Float64Array, Float64Array]; // three in, three out

/** Linear luminance of one pixel of an sRGB raster; `offset` is the index of its red byte. */
export function luminanceAt(data: Uint8Array, offset: number): number {
	return RED_PART[data[offset]!]! + GREEN_PART[data[offset + 1]!]! + BLUE_PART[data[offset + 2]!]!;
}
