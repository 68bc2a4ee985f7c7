import type { LightCorrection } from '@/lib/colour/correctLight';
import { TrayError, toldOf } from '@/lib/errors/TrayError';
import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';
import type { DrawnPiece } from '@/lib/report/piecePicture';
import { quickOutlines } from '@/lib/report/quickOutlines';
import type { Light } from '@/lib/segmentation/light';
import { loadPixelModel } from '@/lib/segmentation/pixelModel';
import { segmentByModel } from '@/lib/segmentation/segmentByModel';

/** The copy of a photo that the model is to read. */
export interface ModelQuestion {
	readonly raster: Raster;
	readonly surface: Surface;
	readonly light: Light & Pick<LightCorrection, 'source'>;
	readonly scale: number;
}

/** Its pieces' outlines, or why there are none. */
export type ModelAnswer = { readonly pieces: readonly DrawnPiece[] } | { readonly problem: string };

addEventListener('message', ({ data }: MessageEvent<ModelQuestion>) => {
	void read(data).then(
		(pieces) => postMessage({ pieces } satisfies ModelAnswer),
		(fault: unknown) => postMessage({ problem: problemOf(fault) } satisfies ModelAnswer),
	);
});

async function read({ raster, surface, light, scale }: ModelQuestion): Promise<readonly DrawnPiece[]> {
	const [modelJson, weights, checksum] = await Promise.all(['model.json', 'weights.bin', 'checksum'].map(fileOf));
	const model = await loadPixelModel({
		modelJson: modelJson!,
		weights: weights!,
		checksum: new TextDecoder().decode(checksum),
	});
	const map = await segmentByModel(raster, surface, light, model);
	return quickOutlines(map, 1 / scale, 1 / surface.pxPerMm ** 2);
}

async function fileOf(name: string): Promise<Uint8Array> {
	const answer = await fetch(`/api/model/${name}`);
	if (!answer.ok) throw new TypeError(`the model's ${name} was answered with ${answer.status}`);
	return new Uint8Array(await answer.arrayBuffer());
}

/** A link that is lost and files that are missing are told alike: nothing else on the page waits for them. */
function problemOf(fault: unknown): string {
	if (fault instanceof TypeError) return NOT_HAD;
	return fault instanceof TrayError ? toldOf(fault) : FAILED;
}

const NOT_HAD = 'The model’s files can’t be had now. Show outlines draws them by colour.';
const FAILED = 'The model could not read the picture in this browser. Show outlines draws them by colour.';
