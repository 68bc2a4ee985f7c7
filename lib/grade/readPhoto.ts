import { correctLight, type LightCorrection } from '../colour/correctLight';
import { TrayError } from '../errors/TrayError';
import { MATERIAL_CLASSES } from '../material/classes';
import type { Material } from '../material/material';
import { judgeSpread } from '../particles/judgeSpread';
import { readSpread } from '../particles/readSpread';
import type { SpreadReading } from '../particles/spreadReading';
import { judgePhoto } from '../photo/judgePhoto';
import { locateSurface, type SurfaceRequest } from '../photo/locateSurface';
import type { PhotoWarning } from '../photo/photoWarning';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from '../segmentation/classMap';
import type { PixelModel } from '../segmentation/pixelModel';
import { segment } from '../segmentation/segment';

/** How one photo is to be read. */
export interface PhotoRequest extends SurfaceRequest {
  /** `auto` takes the model where it is at hand. */
  readonly method: 'auto' | 'threshold' | 'model';
}

/** What one photo says, before any mass is worked out. */
export interface PhotoReading {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly surface: Surface;
  readonly light: Pick<LightCorrection, 'source' | 'residual'>;
  readonly warnings: readonly PhotoWarning[];
  readonly classMap: ClassMap;
  readonly reading: SpreadReading;
}

/**
 * Read one decoded photo: find the field, correct the light, tell the classes apart, measure areas and widths.
 *
 * @param model - the optional pixel model; without it `auto` reads by thresholds
 * @throws TrayError `surface-missing` when there is no field, `nothing-spread` when nothing lies in it
 */
export async function readPhoto(
  raster: Raster,
  request: PhotoRequest,
  material: Material,
  model?: PixelModel,
): Promise<PhotoReading> {
  const { surface, mat } = locateSurface(raster, request);
  const light = correctLight(raster, surface);
  const method = request.method === 'threshold' || model === undefined ? 'threshold' : 'model';
  const classMap = await segment(raster, surface, light, material, method === 'model' ? model : undefined);
  const reading = readSpread(classMap, surface, method);
  refuseEmpty(reading);
  return {
    widthPx: raster.width,
    heightPx: raster.height,
    surface,
    light: { source: light.source, ...(light.residual === undefined ? {} : { residual: light.residual }) },
    warnings: [
      ...light.warnings,
      ...judgePhoto({
        raster,
        surface,
        finestStrandMm: material.finestStrandMm,
        ...(mat === undefined ? {} : { mat }),
        ...(light.residual === undefined ? {} : { colourResidual: light.residual }),
      }),
      ...judgeSpread(reading),
    ],
    classMap,
    reading,
  };
}

function refuseEmpty(reading: SpreadReading): void {
  const pieces = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
  if (pieces > 0) return;
  throw new TrayError(
    'nothing-spread',
    'Nothing is spread in the field: no piece was found, so there is no grade.',
    'Spread a scoop in one layer and take the photo again, or check that the corners lie on the tray.',
  );
}
