import { correctLight } from '@/lib/colour/correctLight';
import { judgeShot, type ShotVerdict } from '@/lib/photo/judgeShot';
import type { Raster } from '@/lib/photo/raster';

/** What the page asks: the photo, and the finest strand whose metal matters, mm. */
export interface ShotQuestion {
	readonly file: Blob;
	readonly finestStrandMm: number;
}

/** What it hears. `widthPx` and `heightPx` are the photo's own. */
export type ShotAnswer =
	| { readonly ok: true; readonly verdict: ShotVerdict; readonly widthPx: number; readonly heightPx: number }
	| { readonly ok: false };

/** Longer side of the copy that is looked at, pixels: the mat's marks are found on it and it takes well under a second. */
const LOOK_SIDE_PX = 1200;

/** Side of the piece looked at in full, for sharpness, pixels: any browser draws so much. */
const PIECE_SIDE_PX = 1400;

addEventListener('message', async ({ data }: MessageEvent<ShotQuestion>) => {
	const answer = await look(data).catch((): ShotAnswer => ({ ok: false })); // not a picture this browser can show
	postMessage(answer);
});

async function look({ file, finestStrandMm }: ShotQuestion): Promise<ShotAnswer> {
	const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
	const { width, height } = picture;
	const reducedBy = Math.max(1, Math.max(width, height) / LOOK_SIDE_PX);
	const small = rasterOf(picture, 0, 0, width, height, reducedBy);
	const side = Math.min(PIECE_SIDE_PX, width, height);
	const middle = rasterOf(picture, (width - side) / 2, (height - side) / 2, side, side, 1);
	picture.close();
	const verdict = judgeShot(
		small,
		reducedBy,
		finestStrandMm,
		middle,
		(raster, mat) => correctLight(raster, mat).residual,
	);
	return { ok: true, verdict, widthPx: width, heightPx: height };
}

function rasterOf(
	picture: ImageBitmap,
	left: number,
	top: number,
	width: number,
	height: number,
	reducedBy: number,
): Raster {
	const [w, h] = [Math.round(width / reducedBy), Math.round(height / reducedBy)];
	const canvas = new OffscreenCanvas(w, h);
	const brush = canvas.getContext('2d', { willReadFrequently: true });
	if (brush === null) throw new Error('no canvas');
	brush.imageSmoothingQuality = 'high';
	brush.drawImage(picture, Math.round(left), Math.round(top), width, height, 0, 0, w, h);
	const rgba = brush.getImageData(0, 0, w, h, { colorSpace: 'srgb' }).data;
	const data = new Uint8Array(3 * w * h);
	for (let from = 0, to = 0; from < rgba.length; from += 4, to += 3) {
		data[to] = rgba[from] ?? 0;
		data[to + 1] = rgba[from + 1] ?? 0;
		data[to + 2] = rgba[from + 2] ?? 0;
	}
	return { width: w, height: h, channels: 3, colourSpace: 'srgb', data };
}
