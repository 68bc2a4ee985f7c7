import { readFile } from 'node:fs/promises';
import { TrayError } from '@/lib/errors/TrayError';
import { type PhotoReading, readPhoto } from '@/lib/grade/readPhoto';
import type { Material } from '@/lib/material/material';
import { decodePhoto } from '@/lib/photo/decode';
import type { PhotoRequest } from '@/lib/report/photoFile';
import type { PixelModel } from '@/lib/segmentation/pixelModel';
import { openMaterial } from './openMaterial';

/** What the photos of one command are read with. */
export interface ReadingOrder {
	readonly material: Material;
	readonly method: 'auto' | 'threshold' | 'model';
}

/** A photo's reading, and the checksum of the bytes that it was read from. */
export type FileReading = PhotoReading & { readonly sha256: string };

/** Read one photo from its file. @throws TrayError with a sentence for the person who took it */
export async function readRequest(
	request: PhotoRequest,
	order: ReadingOrder,
	model: PixelModel | undefined,
): Promise<FileReading> {
	const bytes = await readFile(request.photo).catch((cause: unknown) => {
		throw new TrayError('file-unreadable', "The photo can't be opened.", 'Check its name and folder.', { cause });
	});
	const { raster, sha256 } = await decodePhoto(bytes);
	const material = request.material === undefined ? order.material : await openMaterial(request.material, undefined);
	const method = order.method === 'auto' ? (request.method ?? 'auto') : order.method;
	return { ...(await readPhoto(raster, { ...request, method }, material, model)), sha256 };
}
