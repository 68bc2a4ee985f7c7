'use client';

import { useEffect, useState } from 'react';
import { correctLight } from '@/lib/colour/correctLight';
import type { Raster } from '@/lib/photo/raster';
import { type KeptField, surfaceAt } from '@/lib/photo/surfaceAt';
import { type Circle, coloursInCircle } from '@/lib/segmentation/colourSamples';

/** Width of the copy that is taught on, pixels: fine enough for a strand, small enough to follow a finger. */
const COPY_WIDTH_PX = 1200;

/** A photo ready to be taught on in the browser. */
export interface OpenPhoto {
	/** Colours in a circle on the copy, clipped pixels left out; none where all colour is lost. */
	readonly readSpot: (circle: Circle) => ReturnType<typeof coloursInCircle>;
	readonly raster: Raster;
	/** Pixels of the copy per pixel of the photo. */
	readonly scale: number;
	/** The field on the copy. */
	readonly surface: ReturnType<typeof surfaceAt>;
	readonly light: ReturnType<typeof correctLight>;
}

/** Makes a photo ready to be taught on once its picture has come. */
export function useTeachingView(
	image: HTMLImageElement | undefined,
	field: KeptField & { readonly widthPx: number },
): OpenPhoto | undefined {
	const [open, setOpen] = useState<OpenPhoto | undefined>(undefined);
	useEffect(() => {
		if (image === undefined) return;
		const raster = rasterOf(image);
		const scale = raster.width / field.widthPx;
		const surface = surfaceAt(field, scale);
		const light = correctLight(raster, surface);
		const readSpot = (circle: Circle) => coloursInCircle(raster, surface, light, circle);
		setOpen({ readSpot, raster, scale, surface, light });
	}, [image, field]);
	return open;
}

function rasterOf(image: HTMLImageElement): Raster {
	const width = Math.min(COPY_WIDTH_PX, image.naturalWidth);
	const height = Math.round((image.naturalHeight * width) / image.naturalWidth);
	const canvas = document.createElement('canvas');
	canvas.width = width;
	canvas.height = height;
	const context = canvas.getContext('2d', { willReadFrequently: true });
	if (context === null) throw new Error('This browser gives no canvas to read pictures from.');
	context.drawImage(image, 0, 0, width, height);
	const { data: rgba } = context.getImageData(0, 0, width, height);
	const data = new Uint8Array(3 * width * height);
	for (let i = 0; i < width * height; i++) {
		data[3 * i] = rgba[4 * i] ?? 0;
		data[3 * i + 1] = rgba[4 * i + 1] ?? 0;
		data[3 * i + 2] = rgba[4 * i + 2] ?? 0;
	}
	return { width, height, channels: 3, colourSpace: 'srgb', data };
}
