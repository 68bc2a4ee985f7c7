import 'server-only';
import sharp from 'sharp';
import { decodePhoto } from '../photo/decode';
import { proposeTrayCorners } from '../photo/proposeTrayCorners';
import type { Store } from './database';
import { readPhoto } from './photoFiles';
import { keepIfPossible } from './storageFault';

/** Longest side of the picture that pages show, px. */
export const PREVIEW_SIDE_PX = 1600;

/** Stands for the whole photo, pixel for pixel, to zoom into. */
export const WHOLE_SIDE_PX = 100_000;

/** Longest side of a small picture in a list, px. */
export const THUMBNAIL_SIDE_PX = 320;

/**
 * A copy of a photo for the screen: upright, sRGB, a JPEG without the original's metadata (place, device, time).
 *
 * @throws TrayError when the photo cannot be read
 */
export async function previewOf(store: Store, sha256: string, side = PREVIEW_SIDE_PX): Promise<Uint8Array> {
	const name = `previews/${sha256}-${side}.jpg`;
	const kept = await store.files.read(name);
	if (kept !== undefined) return kept;
	const { raster } = await decodePhoto(await readPhoto(store.files, sha256));
	const jpeg = await sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels: 3 } })
		.resize({ width: side, height: side, fit: 'inside', withoutEnlargement: true })
		.jpeg(side === WHOLE_SIDE_PX ? { quality: 92, chromaSubsampling: '4:4:4' } : { quality: 85 })
		.toBuffer();
	await keepIfPossible(store.files.write(name, jpeg));
	return jpeg;
}

/** Width and height of the upright photo, pixels. */
export async function sizeOf(
	store: Store,
	sha256: string,
): Promise<{ readonly width: number; readonly height: number }> {
	const { raster } = await decodePhoto(await readPhoto(store.files, sha256));
	return { width: raster.width, height: raster.height };
}

/** A tray's corners as its rim suggests them: x1, y1, ... x4, y4 in pixels of the upright photo; undefined when unsure. */
export async function trayCornersOf(store: Store, sha256: string): Promise<readonly number[] | undefined> {
	const { raster } = await decodePhoto(await readPhoto(store.files, sha256));
	return proposeTrayCorners(raster)?.flatMap(({ x, y }) => [x, y]);
}
