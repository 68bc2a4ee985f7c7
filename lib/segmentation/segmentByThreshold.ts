import { UNJUDGED } from '../material/classes';
import type { Material } from '../material/material';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { CLIPPED, cellsOf, OUTSIDE } from './cells';
import type { ClassMap } from './classMap';
import { cleanUp } from './cleanUp';
import { fieldBoxOf } from './fieldBox';
import type { Light } from './light';
import { compileLookupTable } from './lookupTable';
import { surfacePatches } from './surfaceColour';

/** A lamp's glint on a piece is smaller than the piece: at most this square, mm. Common practice, no source. */
const GLINT_MM = 1;

/**
 * Read the field into classes by colour alone: light-corrected CIELAB against the material's colour ellipsoids.
 *
 * Clipped pixels take the class that surrounds them or stay unjudged. Nothing outside the field is read.
 * Limit: colour tells copper from a neutral surface well, but grey plastic, tinned wire and aluminium share their colours;

 */
export function segmentByThreshold(raster: Raster, surface: Surface, light: Light, material: Material): ClassMap {
  const box = fieldBoxOf(raster, surface);
  const cells = cellsOf(raster, surface, light, box);
  const table = compileLookupTable(cells, surfacePatches(cells, surface.kind), material);
  const labels = new Uint8Array(box.width * box.height);
  for (let i = 0; i < labels.length; i++) {
    const cell = cells.cell[i]!;
    if (cell === OUTSIDE) continue;
    labels[i] = cell === CLIPPED ? UNJUDGED : table.code[cell]!;
  }
  const { width, height, columnOffset, rowOffset } = box;
  const mostGlintPx = (GLINT_MM * surface.pxPerMm) ** 2;
  return {
    width,
    height,
    columnOffset,
    rowOffset,
    labels: cleanUp(labels, box.inside, width, height, UNJUDGED, mostGlintPx),
  };
}
