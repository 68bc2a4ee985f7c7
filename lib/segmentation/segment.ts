import type { LightCorrection } from '../colour/correctLight';
import type { Material } from '../material/material';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { coverOf } from './cover';
import { leaveTornOut, OTHER_LIGHTS, underGains } from './doubtfulLight';
import { type FieldGrid, fieldCopy } from './fieldCopy';
import { firstLook } from './firstLook';
import type { Light } from './light';
import { isUnlikeASpread, leaveLoneCopperOut } from './loneCopper';
import type { ModelHead, PixelModel } from './pixelModel';
import { segmentByModel } from './segmentByModel';
import { segmentByThreshold } from './segmentByThreshold';
import { addStrands } from './strands';
import { mayHoldWidePieces, putWidePiecesBack } from './widePieces';

/**
 * Tell the classes apart in the field of one photo: with the pixel model where one is given, by colour thresholds else.
 *
 * @param light.source - `none` where nothing tells the light's colour: pixels that are copper in one likely light and insulation in
 *   another then stay unjudged
 * @param grid - the pixels of the model's class map, where they are not to be the raster's own
 * @returns the class map with the covered share of thin metal's pixels
 */
export async function segment(
	raster: Raster,
	surface: Surface,
	light: Light & { readonly source?: LightCorrection['source'] },
	material: Material,
	model?: PixelModel,
	grid?: FieldGrid,
): Promise<ClassMap> {
	if (model !== undefined) {
		const map = await segmentByModel(raster, surface, light, model, taughtHead(material, model), grid);
		const look = firstLook(raster, surface, light, material);
		// a mat or chart that was found says what the picture is of
		const isUnlike = light.source !== 'patches' && isUnlikeASpread(map, look);
		if (!isUnlike && !mayHoldWidePieces(look)) return map;
		const copy = grid === undefined || grid.reducedBy === 1 ? { raster, surface } : fieldCopy(raster, surface);
		const byColour = segmentByThreshold(copy.raster, copy.surface, light, material);
		const judged = isUnlike ? leaveLoneCopperOut(map, byColour) : map;
		return putWidePiecesBack(judged, byColour, copy.surface.pxPerMm, light.source !== 'none');
	}
	const byColour = (lit: Light) => segmentByThreshold(raster, surface, lit, material);
	const map = byColour(light);
	const others = light.source === 'none' ? OTHER_LIGHTS.map((gains) => byColour(underGains(light, gains))) : [];
	return coverOf(raster, surface, light, addStrands(raster, surface, light, leaveTornOut(map, others)));
}

/** The material's own last layer, where it was fitted to this very model. */
function taughtHead({ lastLayer }: Material, model: PixelModel): ModelHead | undefined {
	if (lastLayer === undefined || lastLayer.modelChecksum !== model.checksum) return undefined;
	return { weights: Float32Array.from(lastLayer.weights), bias: Float32Array.from(lastLayer.bias) };
}
