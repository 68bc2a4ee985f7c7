import { deflateSync } from 'node:zlib';
import sharp from 'sharp';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { chunk } from '../photo/madePhotos';

/** Kinds of photo that are read; phones' HEIC is AVIF's container about other pixels, which nothing here can write. */
export const FORMATS = ['jpeg', 'png', 'webp', 'tiff', 'avif'] as const;
type Format = (typeof FORMATS)[number];

/** A file that somebody might send in the place of a photo. */
export interface BadPhoto {
	readonly name: string;
	readonly bytes: Uint8Array;
}

/** A picture with detail everywhere, so that its file has no stretch that nothing depends on. */
async function detailed(format: Format): Promise<Buffer> {
	const [width, height] = [120, 90];
	const random = seededRandom(1, 'detail').uniform;
	const data = Uint8Array.from({ length: 3 * width * height }, () => Math.floor(256 * random()));
	const picture = sharp(data, { raw: { width, height, channels: 3 } });
	return picture.toFormat(format, format === 'jpeg' ? { quality: 90 } : {}).toBuffer();
}

/** Cut at every kilobyte, as by connections that broke. */
export async function truncations(format: Format): Promise<readonly BadPhoto[]> {
	const whole = await detailed(format);
	const cuts = Array.from({ length: Math.ceil(whole.length / 1024) }, (_, at) => at * 1024);
	return cuts.map((at) => ({ name: `${format} cut at ${at} of ${whole.length} bytes`, bytes: whole.subarray(0, at) }));
}

/** One bit turned over, at places drawn with a seed; the first kilobyte, which holds the head, twice as often. */
export async function bitFlips(format: Format, count: number): Promise<readonly BadPhoto[]> {
	const whole = await detailed(format);
	const random = seededRandom(1, 'flips', format).uniform;
	return Array.from({ length: count }, (_, i) => {
		const at = Math.floor(random() * (i % 3 === 0 ? Math.min(1024, whole.length) : whole.length));
		const bit = Math.floor(8 * random());
		const bytes = Uint8Array.from(whole);
		bytes[at] = (bytes[at] ?? 0) ^ (1 << bit);
		return { name: `${format} with bit ${bit} of byte ${at} turned over`, bytes };
	});
}

/** Small files that claim or unfold to a great many pixels. */
export async function bombs(): Promise<readonly BadPhoto[]> {
	const lying = Buffer.from(await detailed('jpeg'));
	const frame = lying.indexOf(Buffer.from([0xff, 0xc0]));
	lying.writeUInt16BE(65_500, frame + 5);
	lying.writeUInt16BE(65_500, frame + 7);
	return [
		{ name: 'png of 20000 x 20000 black pixels', bytes: blackPng(20_000, Buffer.alloc(20_000 * 2501)) },
		{ name: 'png that claims 60000 x 60000 pixels', bytes: blackPng(60_000, Buffer.alloc(100)) },
		{ name: 'jpeg that claims 65500 x 65500 pixels', bytes: lying },
		{
			name: 'drawing that claims 10^9 pixels a side',
			bytes: text('<svg xmlns="http://www.w3.org/2000/svg" width="1e9" height="1e9"/>'),
		},
		{ name: 'drawing whose words unfold a billion times', bytes: text(BILLION) },
		{ name: 'png whose profile unfolds to 200 megabytes', bytes: profileBomb() },
	];
}

const BILLION = `<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a0 "ha">${Array.from(
	{ length: 9 },
	(_, i) => `<!ENTITY a${i + 1} "${`&a${i};`.repeat(10)}">`,
).join('')}]><svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"><text>&a9;</text></svg>`;

function blackPng(side: number, rows: Buffer): Buffer {
	const header = Buffer.alloc(13);
	header.writeUInt32BE(side, 0);
	header.writeUInt32BE(side, 4);
	header[8] = 1; // one bit a pixel, grey
	return png(header, [chunk('IDAT', deflateSync(rows))]);
}

function profileBomb(): Buffer {
	const header = Buffer.from([0, 0, 0, 100, 0, 0, 0, 100, 8, 2, 0, 0, 0]);
	const profile = Buffer.concat([Buffer.from('profile\0\0', 'latin1'), deflateSync(Buffer.alloc(200e6))]);
	return png(header, [chunk('iCCP', profile), chunk('IDAT', deflateSync(Buffer.alloc(100 * 301)))]);
}

function png(header: Buffer, chunks: readonly Buffer[]): Buffer {
	const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
	return Buffer.concat([signature, chunk('IHDR', header), ...chunks, chunk('IEND', Buffer.alloc(0))]);
}

/** Files that are two things at once, and files that are no photo at all. */
export async function strangers(): Promise<readonly BadPhoto[]> {
	const [jpeg, picture] = [await detailed('jpeg'), await detailed('png')];
	const page = text('<!doctype html><script>alert(1)</script>');
	const reader =
		'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="90" height="90"><image xlink:href="file:///etc/hostname"/></svg>';
	return [
		{ name: 'jpeg with a web page behind it', bytes: Buffer.concat([jpeg, page]) },
		{ name: 'web page with a jpeg behind it', bytes: Buffer.concat([page, jpeg]) },
		{
			name: 'png with an archive behind it',
			bytes: Buffer.concat([picture, text('PK\u0003\u0004'), Buffer.alloc(500)]),
		},
		{ name: 'jpeg with a script in its comment', bytes: commented(jpeg, '*/=alert(1)/*<script>alert(1)</script>') },
		{ name: 'moving picture that is a script', bytes: text('GIF89a/*\u0000*/=1;alert(1)//') },
		{
			name: 'drawing with a script',
			bytes: text('<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'),
		},
		{ name: 'drawing that reads a file', bytes: text(reader) },
		{ name: 'document', bytes: text('%PDF-1.7\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>') },
		{ name: 'film', bytes: Buffer.concat([Buffer.from([0, 0, 0, 24]), text('ftypisom'), Buffer.alloc(1000)]) },
		{ name: 'program', bytes: Buffer.concat([text('\u007fELF'), Buffer.alloc(1000)]) },
		{ name: 'zeros', bytes: Buffer.alloc(5000) },
		{ name: 'nothing', bytes: Buffer.alloc(0) },
		{ name: 'one byte', bytes: Buffer.from([0xff]) },
		{ name: 'the head of a jpeg alone', bytes: Buffer.from([0xff, 0xd8, 0xff]) },
		{
			name: 'head of a heic alone',
			bytes: Buffer.concat([Buffer.from([0, 0, 0, 24]), text('ftypheic'), Buffer.alloc(40)]),
		},
	];
}

function commented(jpeg: Buffer, comment: string): Buffer {
	const head = Buffer.from([0xff, 0xfe, 0, comment.length + 2]);
	return Buffer.concat([jpeg.subarray(0, 2), head, text(comment), jpeg.subarray(2)]);
}

function text(words: string): Buffer {
	return Buffer.from(words, 'utf8');
}
