const EXIF_POINTER = 0x8769;
const DATE_TIME_ORIGINAL = 0x9003;
const OFFSET_TIME_ORIGINAL = 0x9011;
const ENTRY_BYTES = 12;

/**
 * When the shutter was pressed, as the camera's clock said it.
 *
 * @param exif - the EXIF block, with or without its leading `Exif\0\0`
 * @returns ISO local time such as `2026-05-04T09:12:33`, with the zone (`+02:00`) where the camera wrote one;
 *   undefined where the block has no such tag or does not parse: a photo without a time is still a photo
 * @source EXIF 2.3 tag numbers (DateTimeOriginal 0x9003, OffsetTimeOriginal 0x9011), TIFF 6.0 directory layout
 */
export function captureTimeOf(exif: Uint8Array): string | undefined {
	const start = exif[0] === 0x45 && exif[1] === 0x78 ? 6 : 0;
	const view = new DataView(exif.buffer, exif.byteOffset + start, Math.max(0, exif.byteLength - start));
	if (view.byteLength < 8) return undefined;
	const order = view.getUint16(0);
	if (order !== 0x4949 && order !== 0x4d4d) return undefined;
	const little = order === 0x4949;
	const top = directory(view, view.getUint32(4, little), little);
	const inner = top.get(EXIF_POINTER);
	if (inner === undefined) return undefined;
	const tags = directory(view, view.getUint32(inner + 8, little), little);
	const time = /^(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)/.exec(text(view, tags.get(DATE_TIME_ORIGINAL), little));
	if (!time) return undefined;
	const [, year, month, day, hour, minute, second] = time;
	const zone = /^[+-]\d\d:\d\d/.exec(text(view, tags.get(OFFSET_TIME_ORIGINAL), little))?.[0] ?? '';
	return `${year}-${month}-${day}T${hour}:${minute}:${second}${zone}`;
}

/** Tag number to the place of its 12-byte entry; empty where the directory lies outside the block. */
function directory(view: DataView, at: number, little: boolean): Map<number, number> {
	const entries = new Map<number, number>();
	if (at + 2 > view.byteLength) return entries;
	const count = view.getUint16(at, little);
	for (let i = 0; i < count; i++) {
		const entry = at + 2 + ENTRY_BYTES * i;
		if (entry + ENTRY_BYTES > view.byteLength) break;
		entries.set(view.getUint16(entry, little), entry);
	}
	return entries;
}

function text(view: DataView, entry: number | undefined, little: boolean): string {
	if (entry === undefined) return '';
	const length = view.getUint32(entry + 4, little);
	const at = length > 4 ? view.getUint32(entry + 8, little) : entry + 8;
	let out = '';
	for (let i = at; i < Math.min(at + length, view.byteLength); i++) out += String.fromCharCode(view.getUint8(i));
	return out;
}
