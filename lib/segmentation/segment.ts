import type { Material } from '../material/material';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { coverOf } from './cover';
import type { Light } from './light';
import type { ModelHead, PixelModel } from './pixelModel';
import { segmentByModel } from './segmentByModel';
import { segmentByThreshold } from './segmentByThreshold';

/**
 * Tell the classes apart in the field of one photo: with the pixel model where one is given, by colour thresholds else.
 *
 * @returns the class map with the covered share of thin metal's pixels
 */
export async function segment(
  raster: Raster,
  surface: Surface,
  light: Light,
  material: Material,
  model?: PixelModel,
): Promise<ClassMap> {
  return model === undefined
    ? coverOf(raster, surface, light, segmentByThreshold(raster, surface, light, material))
    : segmentByModel(raster, surface, light, model, taughtHead(material, model));
}

/** The material's own last layer, where it was fitted to this very model. */
function taughtHead({ lastLayer }: Material, model: PixelModel): ModelHead | undefined {
  if (lastLayer === undefined || lastLayer.modelChecksum !== model.checksum) return undefined;
  return { weights: Float32Array.from(lastLayer.weights), bias: Float32Array.from(lastLayer.bias) };
}
