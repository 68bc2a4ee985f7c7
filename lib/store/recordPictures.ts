import 'server-only';
import sharp from 'sharp';
import { decodePhoto } from '../photo/decode';
import { classOutlines, pieceLetters } from '../report/classOutlines';
import {
	type FieldWindow,
	fieldLabels,
	fieldPicture,
	fieldToPhoto,
	sizeOfWindow,
	typicalWindow,
} from '../report/fieldPicture';
import type { RecordPicture } from '../report/recordSchema';
import { classMapName } from './analyses';
import type { PhotoAnalysis } from './analysis';
import type { Store } from './database';
import { notFound } from './notFound';
import { readPhoto } from './photoFiles';
import { sha256Of } from './sha256Of';

/** Longest side of a picture of the whole field, px. */
const FIELD_SIDE_PX = 900;

/** Size of a close-up, mm, and its length in px: about as wide as it is printed, so that pieces show twice their size. */
const CLOSE_UP = { widthMm: 36, heightMm: 24, sidePx: 1000 } as const;

/** A graded photo to picture. */
export interface PicturedPhoto {
	readonly spread: number;
	readonly sha256: string;
	readonly analysisKey: string;
	readonly analysis: PhotoAnalysis;
}

/**
 * Draw a photo's field as seen from straight above, with its class outlines beside it, and keep both with the record.
 *
 * They are drawn anew from pixels, so nothing of the original's metadata (place, device, time) is in them.
 *
 * @param withCloseUp - also a part of it, enlarged
 */
export async function drawRecordPictures(
	store: Store,
	photo: PicturedPhoto,
	withCloseUp: boolean,
): Promise<readonly RecordPicture[]> {
	const { analysis, sha256, spread } = photo;
	const { fieldWidthMm, fieldHeightMm, cornersPx, pxPerMm } = analysis;
	const { raster } = await decodePhoto(await readPhoto(store.files, sha256));
	const kept = (await store.files.read(classMapName(photo.analysisKey))) ?? notFound('class picture');
	const labels = await sharp(kept).extractChannel(0).raw().toBuffer({ resolveWithObject: true });
	const map = { data: labels.data, width: labels.info.width, height: labels.info.height };
	const mmToPx = fieldToPhoto(cornersPx, fieldWidthMm, fieldHeightMm);
	const finest = FIELD_SIDE_PX / Math.max(fieldWidthMm, fieldHeightMm);
	const field = { xMm: 0, yMm: 0, widthMm: fieldWidthMm, heightMm: fieldHeightMm, pxPerMm: finest };
	const draw = async (kind: RecordPicture['kind'], window: FieldWindow, lineWidth: number): Promise<RecordPicture> => {
		const { width, height } = sizeOfWindow(window);
		const codes = fieldLabels(map, mmToPx, window);
		const rgb = fieldPicture(raster, mmToPx, window);
		const plain = sharp(rgb, { raw: { width, height, channels: 3 } });
		const smooth = Math.round(window.pxPerMm / pxPerMm);
		const outlines = Buffer.from(classOutlines(codes, width, height, lineWidth, smooth < 2 ? 0 : smooth));
		const letters = kind === 'closeUp' ? pieceLetters(codes, width, height, 0.0012 * width * height) : [];
		return {
			kind,
			spread,
			originalSha256: sha256,
			photoSha256: await keepPicture(store, await plain.clone().jpeg({ quality: 84 }).toBuffer()),
			outlinedSha256: await keepPicture(
				store,
				await plain
					.clone()
					.composite([{ input: outlines }])
					.jpeg({ quality: 88, chromaSubsampling: '4:4:4' })
					.toBuffer(),
			),
			widthMm: window.widthMm,
			heightMm: window.heightMm,
			letters: [...letters],
		};
	};
	const whole = await draw('field', field, 1);
	if (!withCloseUp) return [whole];
	const { widthMm, heightMm, sidePx } = CLOSE_UP;
	const window = typicalWindow(fieldLabels(map, mmToPx, field), field, {
		widthMm,
		heightMm,
		pxPerMm: sidePx / widthMm,
	});
	return [await draw('closeUp', window, 2.2), whole];
}

/** The name that a picture of a record is kept under, by its checksum. */
export function pictureName(sha256: string): string {
	return `records/${sha256.slice(0, 2)}/${sha256.slice(2)}.jpg`;
}

async function keepPicture(store: Store, bytes: Uint8Array): Promise<string> {
	const sha256 = sha256Of(bytes);
	await store.files.write(pictureName(sha256), bytes);
	return sha256;
}

/**
 * A picture of a record.
 *
 * @throws TrayError `not-found` when it is missing or no longer what the record says
 */
export async function readRecordPicture(store: Store, sha256: string): Promise<Uint8Array> {
	const bytes = (await store.files.read(pictureName(sha256))) ?? notFound('picture');
	return sha256Of(bytes) === sha256 ? bytes : notFound('picture');
}
