import { correctLight, type LightCorrection, lightFromElsewhere, lightFromMat, readMat } from '../colour/correctLight';
import type { Material } from '../material/material';
import { judgeSpread } from '../particles/judgeSpread';
import type { RidgeWidths } from '../particles/localWidth';
import { measurePieces } from '../particles/measure';
import { readSpread } from '../particles/readSpread';
import { refuseNonsense } from '../particles/refuseNonsense';
import type { SpreadReading } from '../particles/spreadReading';
import { judgePhoto } from '../photo/judgePhoto';
import { locateSurface, type SurfaceRequest } from '../photo/locateSurface';
import type { PhotoWarning } from '../photo/photoWarning';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from '../segmentation/classMap';
import { leaveRivalledOut } from '../segmentation/doubtfulLight';
import { fieldCopy, fieldGrid, gridOnPhoto } from '../segmentation/fieldCopy';
import { mapOnPhoto } from '../segmentation/mapOnPhoto';
import type { PixelModel } from '../segmentation/pixelModel';
import { segment } from '../segmentation/segment';
import { begin, type ChoreHand } from './chores';

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
 * @param hand - a second thread, which takes chores of a photo that is read by thresholds; the answers are the same bits
 * @throws TrayError `surface-missing` when there is no field, `nothing-spread` when nothing lies in it or what lies there is
 *   no chopped cable
 */
export async function readPhoto(
  raster: Raster,
  request: PhotoRequest,
  material: Material,
  model?: PixelModel,
  hand?: ChoreHand,
): Promise<PhotoReading> {
  const { surface, mat } = locateSurface(raster, request);
  const lightOf = beginLight(raster, surface, hand);
  const method = request.method === 'threshold' || model === undefined ? 'threshold' : 'model';
  const pixelModel = method === 'model' ? model : undefined;
  const copy = fieldCopy(raster, surface, pixelModel?.scalePxPerMm);
  // the model sees the copy at its own scale, but its classes are told at the pixels that colours are read at
  const grid = fieldGrid(copy.raster, copy.surface);
  const light = await lightOf();
  const judge = () =>
    judgePhoto({
      raster,
      surface,
      finestStrandMm: material.finestStrandMm,
      ...(mat === undefined ? {} : { mat }),
      ...(light.residual === undefined ? {} : { colourResidual: light.residual }),
    });
  let judged: PhotoWarning[] | undefined;
  let ridgesOf: (() => Promise<RidgeWidths | undefined>) | undefined;
  const classMap = await segment(copy.raster, copy.surface, light, material, pixelModel, grid, {
    colours(cells) {
      const tableOf = begin(hand, 'colours', cells, copy.surface.kind, material);
      judged = judge();
      return tableOf();
    },
    labelled({ labels, width, height }) {
      ridgesOf = begin(hand, 'ridges', labels, width, height);
    },
  });
  const shown = mapOnPhoto(leaveRivalledOut(classMap), gridOnPhoto(grid, copy), raster, surface);
  const measured = measurePieces(classMap, grid.surface, await ridgesOf?.());
  const reading = readSpread(classMap, grid.surface, method, measured);
  refuseNonsense(measured, reading, grid.surface);
  return {
    widthPx: raster.width,
    heightPx: raster.height,
    surface,
    light: { source: light.source, ...(light.residual === undefined ? {} : { residual: light.residual }) },
    warnings: [
      ...light.warnings,
      ...(judged ?? judge()),
      ...judgeSpread(reading, request.method === 'auto' && model === undefined),
    ],
    classMap: shown,
    reading,
  };
}

/** The photo's light, begun elsewhere where there is a hand. */
function beginLight(raster: Raster, surface: Surface, hand: ChoreHand | undefined): () => Promise<LightCorrection> {
  if (surface.kind === 'tray') return async () => correctLight(raster, surface);
  const read = readMat(raster, surface);
  const lightOf = begin(hand, 'light', read, surface);
  return async () => {
    const light = await lightOf();
    return light === undefined ? lightFromMat(read, surface) : lightFromElsewhere(light);
  };
}
