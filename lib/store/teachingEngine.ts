import { correctLight } from '../colour/correctLight';
import type { Material } from '../material/material';
import type { TaughtSpot } from '../material/taughtSpot';
import { decodePhoto } from '../photo/decode';
import { locateSurface } from '../photo/locateSurface';
import { coloursInCircle } from '../segmentation/colourSamples';
import { refitLastLayer } from '../segmentation/refitLastLayer';
import { withFeatures } from '../segmentation/spotFeatures';
import type { FieldOnPhoto, PhotoOrder } from './analysis';
import { modelFor, surfaceRequest } from './engine';

/**
 * Find the field of a photo, whether or not anything lies in it.
 *
 * @throws TrayError `surface-missing` when there is none
 */
export async function locateField(order: PhotoOrder): Promise<FieldOnPhoto> {
	const { raster, surface } = await opened(order);
	return {
		surface: surface.kind,
		widthPx: raster.width,
		heightPx: raster.height,
		cornersPx: surface.cornersPx.flatMap(({ x, y }) => [x, y]),
		fieldWidthMm: surface.fieldWidthMm,
		fieldHeightMm: surface.fieldHeightMm,
	};
}

/** Look at spots on the whole photo: their colours pixel by pixel and, with the model, what its last layer sees there. */
export async function studySpots(order: PhotoOrder, spots: readonly TaughtSpot[]): Promise<readonly TaughtSpot[]> {
	const { raster, surface } = await opened(order);
	const light = correctLight(raster, surface);
	const model = await modelFor('auto');
	const studied: TaughtSpot[] = [];
	for (const spot of spots) {
		const colours = coloursInCircle(raster, surface, light, spot);
		const own = colours.length === 0 ? spot : { ...spot, colours };
		studied.push(model === undefined ? own : await withFeatures(model, raster, surface, light, own));
	}
	return studied;
}

/** The model's last layer fitted anew to taught spots; undefined where that foretells nothing better, or without a model. */
export async function refitModel(spots: readonly TaughtSpot[]): Promise<Material['lastLayer']> {
	const model = await modelFor('auto');
	const refit = model && refitLastLayer(model.head, model.prior, spots);
	if (model === undefined || refit === undefined) return undefined;
	const { weights, bias } = refit.head;
	return { modelChecksum: model.checksum, weights: [...weights], bias: [...bias] };
}

async function opened({ bytes, choice, matScale }: PhotoOrder) {
	const { raster } = await decodePhoto(bytes);
	const { surface } = locateSurface(raster, { ...surfaceRequest(choice), printedScale: matScale });
	return { raster, surface };
}
