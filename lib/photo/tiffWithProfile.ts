/** Order and types of the entries below; values as TIFF 6.0 numbers them. */
const SHORT = 3;
const LONG = 4;
const UNDEFINED = 7;

/**
 * Wrap bare RGB bytes and a colour profile as an uncompressed TIFF, so that the picture library's own colour
 * management can convert them. (The HEIC decoder hands out pixels and leaves the profile aside.)
 *
 * @param rgb - width x height x 3 bytes, row-major, in the profile's colour space
 * @source TIFF 6.0 (1992); tag 34675 InterColorProfile from the ICC specification, annex B
 */
export function tiffWithProfile(rgb: Uint8Array, width: number, height: number, icc: Uint8Array): Uint8Array {
	if (rgb.length !== 3 * width * height) {
		throw new RangeError(`rgb: ${3 * width * height} bytes expected for ${width} x ${height}, got ${rgb.length}`);
	}
	const count = 11;
	const bitsAt = 8 + 2 + 12 * count + 4;
	const iccAt = bitsAt + 6;
	const pixelsAt = iccAt + icc.length;
	const out = new Uint8Array(pixelsAt + rgb.length);
	const view = new DataView(out.buffer);
	out.set([0x49, 0x49, 42, 0, 8, 0, 0, 0]);
	view.setUint16(8, count, true);
	const entries: [tag: number, type: number, length: number, value: number][] = [
		[256, LONG, 1, width],
		[257, LONG, 1, height],
		[258, SHORT, 3, bitsAt],
		[259, SHORT, 1, 1], // no compression
		[262, SHORT, 1, 2], // RGB
		[273, LONG, 1, pixelsAt],
		[277, SHORT, 1, 3],
		[278, LONG, 1, height],
		[279, LONG, 1, rgb.length],
		[284, SHORT, 1, 1], // channels interleaved
		[34675, UNDEFINED, icc.length, iccAt],
	];
	entries.forEach(([tag, type, length, value], i) => {
		const at = 10 + 12 * i;
		view.setUint16(at, tag, true);
		view.setUint16(at + 2, type, true);
		view.setUint32(at + 4, length, true);
		view.setUint32(at + 8, value, true); // little-endian: a short sits in the low half of the field
	});
	for (let i = 0; i < 3; i++) view.setUint16(bitsAt + 2 * i, 8, true);
	out.set(icc, iccAt);
	out.set(rgb, pixelsAt);
	return out;
}
