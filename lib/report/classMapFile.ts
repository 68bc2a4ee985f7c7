import { writeFile } from 'node:fs/promises';
import sharp from 'sharp';
import { BACKGROUND } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { ClassMap } from '../segmentation/classMap';

/**
 * A class map as an 8-bit grey PNG of the whole upright photo: codes of lib/material/classes.ts, bare surface outside the field.
 */
export async function classMapPng(map: ClassMap, photo: Pick<Raster, 'width' | 'height'>): Promise<Uint8Array> {
	const { width, height } = photo;
	return sharp(labelsOnPhoto(map, photo), { raw: { width, height, channels: 1 } })
		.toColourspace('b-w')
		.png()
		.toBuffer();
}

/** Class codes of the whole upright photo, height x width: bare surface outside the field. */
export function labelsOnPhoto(map: ClassMap, { width, height }: Pick<Raster, 'width' | 'height'>): Uint8Array {
	const whole = new Uint8Array(width * height).fill(BACKGROUND);
	for (let row = 0; row < map.height; row++) {
		const line = map.labels.subarray(row * map.width, (row + 1) * map.width);
		whole.set(line, (row + map.rowOffset) * width + map.columnOffset);
	}
	return whole;
}

/** Write a class map as a PNG file. */
export async function writeClassMap(
	map: ClassMap,
	photo: Pick<Raster, 'width' | 'height'>,
	path: string,
): Promise<void> {
	await writeFile(path, await classMapPng(map, photo));
}
