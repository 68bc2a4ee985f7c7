import { createHash } from 'node:crypto';
import sharp from 'sharp';
import { expect, test } from 'vitest';
import { TrayError, type TrayErrorCode } from '@/lib/errors/TrayError';
import { checkPhotoHead, decodePhoto } from '@/lib/photo/decode';
import type { Raster } from '@/lib/photo/raster';
import entries from '../reference/image.json';
import { grainyJpeg, orientedJpeg, p3Profile, plainPng, taggedPng } from './madePhotos';

function pixel({ data, width }: Raster, column: number, row: number): number[] {
	return [...data.subarray(3 * (row * width + column), 3 * (row * width + column) + 3)];
}

function expectNear(actual: readonly number[], expected: readonly number[], within: number): void {
	for (const [i, value] of actual.entries()) expect(Math.abs(value - expected[i]!)).toBeLessThanOrEqual(within);
}

async function refusalOf(bytes: Uint8Array): Promise<TrayError> {
	const outcome = await decodePhoto(bytes).catch((error: unknown) => error);
	expect(outcome).toBeInstanceOf(TrayError);
	return outcome as TrayError; // checked on the line above
}

async function expectRefused(bytes: Uint8Array, code: TrayErrorCode, sentence: RegExp): Promise<void> {
	const error = await refusalOf(bytes);
	expect(error.code).toBe(code);
	expect(error.message).toMatch(sentence);
	expect(error.hint.length).toBeGreaterThan(10);
}

const orientation = entries.find((e) => e.id === 'k.exif.orientation_pixels')!;
const stored = (orientation.inputs as { stored: number[][] }).stored;
const upright = orientation.expected as unknown as Record<string, number[][]>;

test.each([1, 2, 3, 4, 5, 6, 7, 8])('a photo stored with orientation %i comes out upright', async (value) => {
	const block = 48;
	const { raster, orientation: applied } = await decodePhoto(await orientedJpeg(stored, value, block));
	const table = upright[String(value)]!;
	expect(applied).toBe(value);
	expect([raster.width, raster.height]).toEqual([table[0]!.length * block, table.length * block]);
	const seen = table.map((line, row) =>
		line.map((_, column) => Math.round(pixel(raster, (column + 0.5) * block, (row + 0.5) * block)[0]! / 30)),
	);
	expect(seen).toEqual(table);
});

test('a photo tagged Display P3 is converted to the published sRGB numbers', async () => {
	const photo = taggedPng(await plainPng([184, 115, 51]), await p3Profile());
	const { raster, profile } = await decodePhoto(photo);
	expect(profile).toBe('converted');
	// 0.7665, 0.4347 and 0.1203 of the scale; the library computes in whole codes
	expectNear(pixel(raster, 40, 40), [195, 111, 31], 1);
});

test('a photo without a profile keeps its numbers', async () => {
	const { raster, profile, format } = await decodePhoto(await plainPng([184, 115, 51]));
	expect(pixel(raster, 40, 40)).toEqual([184, 115, 51]);
	expect([profile, format]).toEqual(['none', 'png']);
});

test('sixteen bits become eight', async () => {
	const deep = await sharp(await plainPng([184, 115, 51]))
		.toColourspace('rgb16')
		.png()
		.toBuffer();
	expect((await sharp(deep).metadata()).depth).toBe('ushort');
	expectNear(pixel((await decodePhoto(deep)).raster, 3, 3), [184, 115, 51], 1);
});

test('a CMYK photo and a grey one become RGB', async () => {
	const cmyk = await sharp(await plainPng([200, 60, 40]))
		.toColourspace('cmyk')
		.jpeg({ quality: 95 })
		.toBuffer();
	const { raster, profile } = await decodePhoto(cmyk);
	expect(profile).toBe('converted');
	const [r, g, b] = pixel(raster, 40, 40) as [number, number, number];
	expect(r).toBeGreaterThan(150);
	expect(Math.max(g, b)).toBeLessThan(110);
	const grey = await sharp(await plainPng([90, 90, 90]))
		.greyscale()
		.jpeg({ quality: 100 })
		.toBuffer();
	expectNear(pixel((await decodePhoto(grey)).raster, 40, 40), [90, 90, 90], 1);
});

test('what is see-through lies on white paper', async () => {
	const ghost = await sharp({
		create: { width: 80, height: 80, channels: 4, background: { r: 0, g: 0, b: 0, alpha: 0 } },
	})
		.png()
		.toBuffer();
	expect(pixel((await decodePhoto(ghost)).raster, 9, 9)).toEqual([255, 255, 255]);
});

test('an AVIF photo opens', async () => {
	const avif = await sharp(await plainPng([184, 115, 51]))
		.avif({ quality: 90 })
		.toBuffer();
	const { raster, format } = await decodePhoto(avif);
	expect(format).toBe('heif');
	expectNear(pixel(raster, 40, 40), [184, 115, 51], 4);
});

test('the camera clock and the checksum of the original bytes come along', async () => {
	const photo = await sharp(await grainyJpeg())
		.withExif({ IFD2: { DateTimeOriginal: '2026:05:04 09:12:33', OffsetTimeOriginal: '+02:00' } })
		.jpeg()
		.toBuffer();
	const decoded = await decodePhoto(photo);
	expect(decoded.capturedAt).toBe('2026-05-04T09:12:33+02:00');
	expect(decoded.sha256).toBe(createHash('sha256').update(photo).digest('hex'));
});

test('a photo without a clock has no capture time', async () => {
	expect(await decodePhoto(await grainyJpeg())).not.toHaveProperty('capturedAt');
});

test.each([0.02, 0.2, 0.5, 0.9, 0.99])('a JPEG cut off at %d of its length is never measured', async (share) => {
	const whole = await grainyJpeg();
	await expectRefused(
		whole.subarray(0, Math.floor(share * whole.length)),
		'photo-unreadable',
		/damaged|cut short|not a photo/,
	);
});

test.each([0.3, 0.6, 0.95])('a PNG cut off at %d of its length is never measured', async (share) => {
	const whole = await sharp(await grainyJpeg())
		.png()
		.toBuffer();
	await expectRefused(whole.subarray(0, Math.floor(share * whole.length)), 'photo-unreadable', /damaged|cut short/);
});

test('an empty file, text and a web page are refused whatever their name', async () => {
	await expectRefused(new Uint8Array(), 'photo-unreadable', /empty/);
	await expectRefused(Buffer.from('The weights of bin 2 are on the other sheet.'), 'photo-unreadable', /not a photo/);
	await expectRefused(
		Buffer.from('<!doctype html><html><body>Sign in</body></html>'),
		'photo-unreadable',
		/not a photo/,
	);
});

test('a drawing and a moving picture are refused by what they are', async () => {
	const svg = '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200"><rect width="300" height="200"/></svg>';
	await expectRefused(Buffer.from(svg), 'photo-unreadable', /SVG/);
	const gif = await sharp(await plainPng([1, 2, 3]))
		.gif()
		.toBuffer();
	await expectRefused(gif, 'photo-unreadable', /GIF/);
});

test('a picture of one pixel is refused as too small', async () => {
	await expectRefused(await plainPng([1, 2, 3], 1), 'photo-unreadable', /only 1 x 1/);
});

test('a decompression bomb is refused from its header', async () => {
	const bomb = await sharp({ create: { width: 12000, height: 6000, channels: 3, background: '#000' } })
		.png({ compressionLevel: 9 })
		.toBuffer();
	expect(bomb.length).toBeLessThan(1e6);
	await expectRefused(bomb, 'photo-too-large', /52 million/);
});

test('a video and a raw file are told by name, and what to send instead', async () => {
	const video = Buffer.from('\0\0\0\x18ftypmp42\0\0\0\0isommp42'.padEnd(400, '\0'), 'latin1');
	await expectRefused(video, 'photo-unreadable', /^The file is a video, not a photo/);
	await expectRefused(
		Buffer.from(video.toString('latin1').replace('mp42', 'qt  '), 'latin1'),
		'photo-unreadable',
		/video/,
	);
	// one entry added to the first directory of a TIFF, which stands at its end: the raw file's own
	const tiff = await sharp({ create: { width: 80, height: 80, channels: 3, background: '#777' } })
		.tiff()
		.toBuffer();
	expect((await decodePhoto(tiff)).format).toBe('tiff');
	const at = tiff.readUInt32LE(4);
	const count = tiff.readUInt16LE(at);
	const end = at + 2 + 12 * count;
	const version = Buffer.from([0x12, 0xc6, 1, 0, 4, 0, 0, 0, 1, 4, 0, 0]);
	const raw = Buffer.concat([tiff.subarray(0, end), version, tiff.subarray(end)]);
	raw.writeUInt16LE(count + 1, at);
	await expectRefused(raw, 'photo-unreadable', /raw file \(DNG\)/);
});

test('a photo at the 50 megapixels of a phone is taken in, a larger one told by its size', async () => {
	const small = await sharp({ create: { width: 80, height: 80, channels: 3, background: '#777' } })
		.jpeg()
		.toBuffer();
	const claiming = (width: number, height: number) => {
		const bytes = Buffer.from(small);
		const frame = bytes.indexOf(Buffer.from([0xff, 0xc0]));
		bytes.writeUInt16BE(height, frame + 5);
		bytes.writeUInt16BE(width, frame + 7);
		return bytes;
	};
	await checkPhotoHead(claiming(8192, 6144));
	await expect(checkPhotoHead(claiming(12_000, 9000))).rejects.toMatchObject({
		code: 'photo-too-large',
		hint: 'Take the photo at 12 to 50 megapixels.',
	});
});
