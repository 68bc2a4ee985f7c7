import { randomUUID } from 'node:crypto';
import sharp from 'sharp';
import { expect, test } from 'vitest';
import { readPhoto } from '@/lib/store/photoFiles';
import { PREVIEW_SIDE_PX, previewOf, THUMBNAIL_SIDE_PX } from '@/lib/store/pictures';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { inPieces, storedRun, temporaryStore } from './temporaryStore';

test('where a photo was taken, with what and by whom stays in the original; no picture that leaves says it', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const secrets = ['Phone of Nobody', 'Yard 7 behind the mill'];
	const photo = await sharp({ create: { width: 400, height: 300, channels: 3, background: '#987' } })
		.withExif({
			IFD0: { Model: secrets[0] ?? '', Artist: secrets[1] ?? '' },
			IFD3: {
				GPSLatitudeRef: 'N',
				GPSLatitude: '51/1 30/1 3230/100',
				GPSLongitudeRef: 'W',
				GPSLongitude: '0/1 7/1 4366/100',
			},
		})
		.withXmp(`<x:xmpmeta xmlns:x="adobe:ns:meta/">${secrets[1]}</x:xmpmeta>`)
		.jpeg()
		.toBuffer();
	const sent = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: 'tray.jpg' };
	const { sha256 } = await takeInPhoto(store, sent, inPieces(photo));
	const original = Buffer.from(await readPhoto(store.files, sha256));
	expect(original.equals(photo)).toBe(true);
	expect((await sharp(original).metadata()).exif?.includes('Nobody')).toBe(true);
	for (const side of [PREVIEW_SIDE_PX, THUMBNAIL_SIDE_PX]) {
		// the second time it comes from the folder of previews
		for (let times = 0; times < 2; times++) {
			const copy = Buffer.from(await previewOf(store, sha256, side));
			const { exif, xmp, iptc, icc, comments } = await sharp(copy).metadata();
			expect({ exif, xmp, iptc, icc, comments }).toEqual({});
			for (const secret of [...secrets, 'GPS', 'Exif']) expect(copy.includes(secret), secret).toBe(false);
		}
	}
});
