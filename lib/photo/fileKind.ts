/** A kind of picture file, known by its first bytes. */
type Signature = readonly [kind: string, at: number, bytes: string];

/** @source ITU-T T.81 (JPEG), W3C PNG, RFC 9649 (WebP), TIFF 6.0, ISO/IEC 14496-12 (file type box of HEIC and AVIF) */
const PHOTOS: readonly Signature[] = [
	['JPEG', 0, '\xff\xd8\xff'],
	['PNG', 0, '\x89PNG\r\n\x1a\n'],
	['WebP', 8, 'WEBP'],
	['TIFF', 0, 'II*\0'],
	['TIFF', 0, 'MM\0*'],
	['HEIC or AVIF', 4, 'ftyp'],
];

/** What people send in the place of a photo, so that it can be told by its name. */
const OTHERS: readonly Signature[] = [
	['GIF', 0, 'GIF8'],
	['PDF', 0, '%PDF'],
	['ZIP', 0, 'PK\x03\x04'],
];

/** Major brands of moving pictures, which begin like HEIC and AVIF. @source ISO/IEC 14496-12 (file type box), registered brands */
const VIDEO = /^.{4}ftyp(qt {2}|isom|iso\d|mp4\d|avc1|M4V |3g)/s;

/** Tag that every raw file of this kind carries in its first directory. @source Digital Negative specification, DNGVersion */
const DNG_VERSION = 50706;

/** Start of a drawing or a page: text in angle brackets. */
const MARKUP = /^[\s\u00ef\u00bb\u00bf]*<(\?xml|svg|!doctype|html|!--)/i;

/**
 * What a file is by its first bytes, before any decoder touches it: only photo kinds are handed to one, so that readers of
 * drawings, documents and rare formats are never run on what a stranger sends.
 *
 * @returns `photo`, or the name of what it is instead: `GIF`, `SVG`, `video`; undefined when it is not known
 */
export function fileKind(bytes: Uint8Array): 'photo' | string | undefined {
	const head = Buffer.from(bytes.subarray(0, 256)).toString('latin1');
	const is = ([, at, sign]: Signature) => head.startsWith(sign, at);
	if (VIDEO.test(head)) return 'video';
	// the picture that decoders find in it is a thumbnail
	if (isRaw(bytes)) return 'DNG';
	if (PHOTOS.some(is)) return 'photo';
	const other = OTHERS.find(is)?.[0];
	if (other !== undefined) return other;
	const markup = MARKUP.exec(head)?.[1]?.toLowerCase();
	if (markup === undefined) return undefined;
	return /<svg/i.test(head) ? 'SVG' : 'HTML or XML';
}

/** Whether a TIFF's first directory says that it holds a sensor's raw values. @source TIFF 6.0, section 2 */
function isRaw(bytes: Uint8Array): boolean {
	const little = bytes[0] === 0x49 && bytes[1] === 0x49;
	if (!little && !(bytes[0] === 0x4d && bytes[1] === 0x4d)) return false;
	const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
	const has = (at: number, length: number) => at + length <= view.byteLength;
	if (!has(4, 4)) return false;
	const directory = view.getUint32(4, little);
	if (!has(directory, 2)) return false;
	const entries = view.getUint16(directory, little);
	for (let k = 0, at = directory + 2; k < entries && has(at, 12); k++, at += 12) {
		if (view.getUint16(at, little) === DNG_VERSION) return true;
	}
	return false;
}
