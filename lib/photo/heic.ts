import { TrayError } from '@/lib/errors/TrayError';

/** Pixels of a HEIC photo as its decoder gives them: upright, in the colour space of the file's own profile. */
export interface HeicPixels {
	readonly width: number;
	readonly height: number;
	/** width x height x 3 bytes. */
	readonly rgb: Uint8Array;
}

interface HeifImage {
	is_primary(): boolean;
	get_width(): number;
	get_height(): number;
	display(
		target: { data: Uint8ClampedArray; width: number; height: number },
		done: (shown: { data: Uint8ClampedArray } | null) => void,
	): void;
	free(): void;
}

/**
 * Decode the main picture of a HEIC or HEIF file.
 *
 * The decoder applies the file's own turn and mirror boxes, so its EXIF orientation must not be applied again. Slow
 * (about 2 s for 12 megapixels): call it in a worker. Alpha is laid over white.
 *
 * @param pixelLimit - refused above this, before any pixel is decoded
 * @throws TrayError `photo-unreadable` or `photo-too-large`
 */
export async function decodeHeic(bytes: Uint8Array, pixelLimit: number): Promise<HeicPixels> {
	const { default: libheif } = await import('libheif-js/wasm-bundle');
	const decoder = new libheif.HeifDecoder();
	const images: HeifImage[] = decoder.decode(bytes) ?? [];
	const image = images.find((i) => i.is_primary()) ?? images[0];
	if (!image) {
		throw new TrayError('photo-unreadable', 'The HEIC photo holds no picture that can be decoded.', HEIC_HINT);
	}
	try {
		const width = image.get_width();
		const height = image.get_height();
		if (width * height > pixelLimit) {
			throw new TrayError(
				'photo-too-large',
				`The photo has ${width} x ${height} pixels, more than can be read.`,
				'Take it at 12 to 50 megapixels.',
			);
		}
		const target = { data: new Uint8ClampedArray(4 * width * height), width, height };
		const shown = await new Promise<{ data: Uint8ClampedArray } | null>((done) => image.display(target, done));
		if (!shown) {
			throw new TrayError(
				'photo-unreadable',
				'The HEIC photo is damaged or cut short: its pixels do not decode.',
				HEIC_HINT,
			);
		}
		return { width, height, rgb: overWhite(shown.data, width * height) };
	} finally {
		for (const each of images) each.free();
	}
}

const HEIC_HINT = 'Send the original file again, or set the camera to JPEG (most compatible).';

/** Hot loop: 12 million pixels. */
function overWhite(rgba: Uint8ClampedArray, pixels: number): Uint8Array {
	const rgb = new Uint8Array(3 * pixels);
	for (let i = 0, from = 0, to = 0; i < pixels; i++, from += 4, to += 3) {
		const alpha = rgba[from + 3]!;
		for (let c = 0; c < 3; c++) {
			rgb[to + c] = alpha === 255 ? rgba[from + c]! : Math.round((rgba[from + c]! * alpha + 255 * (255 - alpha)) / 255);
		}
	}
	return rgb;
}
