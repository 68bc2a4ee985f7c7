import { encodeSrgb, LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';

/**
 * Linear light of a row of sRGB bytes, one number a byte.
 *
 * @source IEC 61966-2-1:1999
 */
export function linearise(codes: Uint8Array): Float32Array {
	const out = new Float32Array(codes.length);
	for (let i = 0; i < codes.length; i++) out[i] = LINEAR_OF_CODE[codes[i]!]!;
	return out;
}

/** sRGB byte of linear light; below 0 becomes 0, above 1 becomes 255. */
export function codeOf(linear: number): number {
	return Math.round(255 * encodeSrgb(Math.min(1, Math.max(0, linear))));
}
