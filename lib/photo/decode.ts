import { createHash } from 'node:crypto';
import sharp, { type Metadata, type Sharp, type SharpOptions } from 'sharp';
import { TrayError } from '@/lib/errors/TrayError';
import { captureTimeOf } from './captureTime';
import { fileKind } from './fileKind';
import { decodeHeic } from './heic';
import type { Raster } from './raster';
import { tiffWithProfile } from './tiffWithProfile';

/**
 * Largest photo that is read, pixels. What phones call 50 megapixels is up to 8192 x 6144, which is 50.3 million (from memory); a
 * decompression bomb is more.
 */
const PIXEL_LIMIT = 52e6;

/** Largest photo file that is taken in, bytes. A 50-megapixel phone JPEG is about half of it. */
export const MAX_PHOTO_BYTES = 60_000_000;

/** Shortest side that is read, pixels: below it not even the mat's marks could be told apart. */
const SHORTEST_SIDE_PX = 64;

const ACCEPTED = { jpeg: 'JPEG', png: 'PNG', webp: 'WebP', tiff: 'TIFF', heif: 'HEIC or AVIF' } as const;
export type PhotoFormat = keyof typeof ACCEPTED;

/** A photo ready for measuring, with what the file said about itself. */
export interface DecodedPhoto {
	/** Upright, sRGB, 8 bit. */
	readonly raster: Raster;
	/** What the decoder found the file to be, whatever its name says. */
	readonly format: PhotoFormat;
	/** EXIF orientation that was applied, 1 to 8; 1 where the file had none. */
	readonly orientation: number;
	/** `none`: the file had no profile and was taken as sRGB; `converted`: another colour space, turned into sRGB. */
	readonly profile: 'sRGB' | 'converted' | 'none';
	/** ISO local time the camera wrote, if it did. */
	readonly capturedAt?: string;
	/** SHA-256 of the original bytes, lower-case hex. */
	readonly sha256: string;
}

/**
 * Threads that work on one picture. Sharp by itself takes one where the system's allocator is glibc's, whose memory may fray with more (its
 * documentation); with two, what turns or hands out pixels works beside what decodes them.
 */
export const DECODER_THREADS = 2;
sharp.concurrency(DECODER_THREADS);

/** Every read of a photo uses these: strict, because a picture cut short decodes with grey filler that would be graded. */
const STRICT: SharpOptions = { limitInputPixels: PIXEL_LIMIT, failOn: 'warning' };

/**
 * Read a photo as the phone made it into an upright sRGB raster.
 *
 * The embedded colour profile is honoured (phones shoot Display P3), 16 bit becomes 8, CMYK and grey become RGB, alpha
 * is laid over white. The kind of file is what its decoder says, never its name.
 * Limit: a JPEG whose bytes were altered in the middle may decode without a word; the checksum is what guards against that.
 *
 * @throws TrayError `photo-unreadable` (not a photo, damaged, cut short, too small) or `photo-too-large`
 */
export async function decodePhoto(bytes: Uint8Array): Promise<DecodedPhoto> {
	if (bytes.length === 0) throw unreadable('The file is empty (0 bytes).', 'Send the photo again.');
	const early = isJpeg(bytes) ? readPixels(bytes) : undefined;
	// should the head be refused, that is what is told
	early?.catch(() => undefined);
	const head = readMetadata(bytes);
	// while threads of the decoder read
	const sha256 = createHash('sha256').update(bytes).digest('hex');
	const metadata = await head;
	const format = acceptedFormat(metadata);
	const raster = await (early ?? (isHeic(metadata) ? readHeic(bytes, metadata) : readPixels(bytes)));
	const capturedAt = metadata.exif && captureTimeOf(metadata.exif);
	return {
		raster,
		format,
		orientation: metadata.orientation ?? 1,
		profile: profileKind(metadata),
		...(capturedAt ? { capturedAt } : {}),
		sha256,
	};
}

/**
 * Refuse at the door what is not a photo, from its head alone: fast, before anything is kept.
 *
 * A photo cut short passes here; `decodePhoto` refuses it when all of it is read.
 *
 * @throws TrayError as `decodePhoto`
 */
export async function checkPhotoHead(bytes: Uint8Array): Promise<void> {
	if (bytes.length === 0) throw unreadable('The file is empty (0 bytes).', 'Send the photo again.');
	acceptedFormat(await readMetadata(bytes));
}

async function readMetadata(bytes: Uint8Array): Promise<Metadata> {
	const kind = fileKind(bytes);
	if (kind !== 'photo') throw notAPhoto(kind);
	try {
		return await sharp(bytes, STRICT).metadata();
	} catch (cause) {
		throw refusal(cause, 'The file is not a photo that can be read, or its beginning is damaged.');
	}
}

function acceptedFormat(metadata: Metadata): PhotoFormat {
	const format = metadata.format as string | undefined;
	if (format === undefined || !(format in ACCEPTED)) throw notAPhoto(format?.toUpperCase());
	if (format === 'webp' && (metadata.pages ?? 1) > 1) {
		throw unreadable('The file is a moving picture, not a photo.', 'Send a still photo.');
	}
	const short = Math.min(metadata.width, metadata.height);
	if (short < SHORTEST_SIDE_PX) {
		throw unreadable(
			`The picture is only ${metadata.width} x ${metadata.height} pixels.`,
			'Send the photo at its full size, not a thumbnail.',
		);
	}
	return format as PhotoFormat;
}

/** What most photos are: their pixels are read without waiting for their head, which takes some 5 ms. */
function isJpeg(bytes: Uint8Array): boolean {
	return bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff;
}

function isHeic({ format, compression }: Metadata): boolean {
	return format === 'heif' && compression !== 'av1';
}

async function readPixels(bytes: Uint8Array): Promise<Raster> {
	try {
		return await toRaster(sharp(bytes, STRICT).autoOrient());
	} catch (cause) {
		throw refusal(cause, 'The photo is damaged or cut short: not all of its pixels arrived.');
	}
}

async function readHeic(bytes: Uint8Array, metadata: Metadata): Promise<Raster> {
	const { width, height, rgb } = await decodeHeic(bytes, PIXEL_LIMIT);
	if (!metadata.icc) return { width, height, channels: 3, colourSpace: 'srgb', data: rgb };
	try {
		return await toRaster(sharp(tiffWithProfile(rgb, width, height, metadata.icc), STRICT));
	} catch (cause) {
		throw refusal(cause, 'The colour profile inside the HEIC photo cannot be read.');
	}
}

async function toRaster(picture: Sharp): Promise<Raster> {
	const { data, info } = await picture
		.flatten({ background: '#ffffff' })
		.toColourspace('srgb')
		.removeAlpha()
		.raw({ depth: 'uchar' })
		.toBuffer({ resolveWithObject: true });
	if ((info.channels as number) !== 3 || data.length !== 3 * info.width * info.height) {
		throw new RangeError(`raster: 3 channels expected, got ${info.channels} (${data.length} bytes)`);
	}
	return {
		width: info.width,
		height: info.height,
		channels: 3,
		colourSpace: 'srgb',
		data: new Uint8Array(data.buffer, data.byteOffset, data.length),
	};
}

/** The profile's own description says sRGB in every profile seen; the text sits in the first kilobytes as ASCII or UTF-16. */
function profileKind({ icc, space }: Metadata): DecodedPhoto['profile'] {
	if (space === 'cmyk') return 'converted';
	if (!icc) return 'none';
	return icc.toString('latin1').replaceAll('\0', '').includes('sRGB') ? 'sRGB' : 'converted';
}

function refusal(cause: unknown, sentence: string): TrayError {
	const said = cause instanceof Error ? cause.message : String(cause);
	if (/pixel limit|dimension|too large/i.test(said)) {
		return new TrayError(
			'photo-too-large',
			`The picture claims more than ${PIXEL_LIMIT / 1e6} million pixels.`,
			'Take the photo at 12 to 50 megapixels.',
			{ cause },
		);
	}
	return unreadable(sentence, 'Send the original photo again: JPEG, HEIC, PNG, WebP or TIFF.', { cause });
}

function notAPhoto(kind: string | undefined): TrayError {
	const hint = 'Send a photo as the camera made it: JPEG, HEIC, PNG, WebP or TIFF.';
	if (kind === 'video') return unreadable('The file is a video, not a photo.', hint);
	if (kind === 'DNG') {
		const besides = 'Send the JPEG or HEIC that the camera makes beside it, or set the camera to make one.';
		return unreadable('The file is a raw file (DNG), which is not read.', besides);
	}
	return unreadable(`The file is ${kind === undefined ? 'of an unknown kind' : `of kind ${kind}`}, not a photo.`, hint);
}

function unreadable(message: string, hint: string, options?: ErrorOptions): TrayError {
	return new TrayError('photo-unreadable', message, hint, options);
}
