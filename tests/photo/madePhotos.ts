import { deflateSync } from 'node:zlib';
import sharp from 'sharp';

/** A PNG of one colour, large enough to be taken for a photo. */
export async function plainPng(rgb: readonly [number, number, number], side = 96): Promise<Buffer> {
	const [r, g, b] = rgb;
	return sharp({ create: { width: side, height: side, channels: 3, background: { r, g, b } } })
		.png()
		.toBuffer();
}

/** The Display P3 profile that the picture library carries. */
export async function p3Profile(): Promise<Buffer> {
	const { icc } = await sharp(
		await sharp(await plainPng([9, 9, 9]))
			.withIccProfile('p3')
			.png()
			.toBuffer(),
	).metadata();
	if (!icc) throw new Error('the picture library wrote no profile');
	return icc;
}

/** The same PNG with a colour profile said to be its own: pixels untouched, an iCCP chunk put in after the header. */
export function taggedPng(png: Buffer, icc: Buffer): Buffer {
	const headerEnd = 8 + 25; // signature, then the 13 bytes of IHDR with its frame
	const body = Buffer.concat([Buffer.from('profile\0\0', 'latin1'), deflateSync(icc)]);
	return Buffer.concat([png.subarray(0, headerEnd), chunk('iCCP', body), png.subarray(headerEnd)]);
}

/** One chunk of a PNG with its length and checksum. */
export function chunk(type: string, body: Buffer): Buffer {
	const named = Buffer.concat([Buffer.from(type, 'latin1'), body]);
	const frame = Buffer.alloc(8);
	frame.writeUInt32BE(body.length, 0);
	frame.writeUInt32BE(crc32(named), 4);
	return Buffer.concat([frame.subarray(0, 4), named, frame.subarray(4)]);
}

function crc32(bytes: Buffer): number {
	let crc = 0xffffffff;
	for (const byte of bytes) {
		crc ^= byte;
		for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
	}
	return (crc ^ 0xffffffff) >>> 0;
}

/**
 * A JPEG whose stored pixels are a small table of numbers, each blown up to a square of `block` pixels with grey 30 times the
 * number, tagged with an EXIF orientation.
 */
export async function orientedJpeg(table: readonly (readonly number[])[], orientation: number, block = 48) {
	const width = table[0]!.length * block;
	const height = table.length * block;
	const grey = Buffer.alloc(3 * width * height);
	for (let row = 0; row < height; row++) {
		for (let column = 0; column < width; column++) {
			grey.fill(
				30 * table[Math.floor(row / block)]![Math.floor(column / block)]!,
				3 * (row * width + column),
				3 * (row * width + column) + 3,
			);
		}
	}
	return sharp(grey, { raw: { width, height, channels: 3 } })
		.withMetadata({ orientation })
		.jpeg({ quality: 100 })
		.toBuffer();
}

/** A noisy JPEG, so that its bytes are spread over the whole file. */
export async function grainyJpeg(width = 400, height = 300): Promise<Buffer> {
	const data = Buffer.alloc(3 * width * height);
	let state = 1;
	for (let i = 0; i < data.length; i++) {
		state = (state * 1103515245 + 12345) % 2147483648;
		data[i] = state >> 16;
	}
	return sharp(data, { raw: { width, height, channels: 3 } })
		.jpeg({ quality: 90 })
		.toBuffer();
}
