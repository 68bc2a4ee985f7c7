import { curvedRows, type ModelRows } from '@/lib/segmentation/modelRows';
import type { ModelHead, PixelModel } from '@/lib/segmentation/pixelModel';

/** A picture held whole. */
export interface ModelPicture {
	readonly width: number;
	readonly height: number;
	/** Linear reflectance, height x width x 3. */
	readonly linear: Float32Array;
}

export function rowsOf({ width, height, linear }: ModelPicture): ModelRows {
	return curvedRows(width, height, () => (y, line) => line.set(linear.subarray(3 * width * y, 3 * width * (y + 1))));
}

/** All class probabilities of a picture, height x width x 6. */
export async function predict(model: PixelModel, picture: ModelPicture, head?: ModelHead): Promise<Float32Array> {
	const out = new Float32Array(6 * picture.width * picture.height);
	await model.read(rowsOf(picture), (row, shares) => out.set(shares, 6 * picture.width * row), head);
	return out;
}

export const featuresOf = (model: PixelModel, picture: ModelPicture) => model.features(rowsOf(picture));

/** Stands in for the network: `shareAt` says a pixel's probability of a class from the three numbers that the network would take. */
export function madeUpModel(
	scalePxPerMm: number,
	shareAt: (c: number, rgb: Float32Array, column: number) => number,
	sizes: number[][] = [],
): PixelModel {
	const read: PixelModel['read'] = async ({ width, height, open }, take) => {
		sizes.push([width, height]);
		const rowAt = open();
		for (let y = 0; y < height; y++) {
			const row = rowAt(y);
			const at = (column: number) => row.subarray(4 * column, 4 * column + 3);
			take(
				y,
				Float32Array.from({ length: 6 * width }, (_, i) => shareAt(i % 6, at(Math.floor(i / 6)), Math.floor(i / 6))),
			);
		}
	};
	return { scalePxPerMm, prior: new Array(6).fill(1 / 6), read } as unknown as PixelModel;
}
