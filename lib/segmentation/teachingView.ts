import type { Material } from '../material/material';
import type { LabColour } from '../material/taughtSpot';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { cellsOf } from './cells';
import type { ClassMap } from './classMap';
import { type Circle, coloursInCircle } from './colourSamples';
import { fieldBoxOf } from './fieldBox';
import type { Light } from './light';
import { quickLook } from './quickLook';
import { labelCells } from './segmentByThreshold';

/** A photo made ready to be taught on: its colours are sorted once, so that a changed material shows at once. */
export interface TeachingView {
	/** Colours in a circle on this raster, clipped pixels left out; none where all colour is lost. */
	readonly readSpot: (circle: Circle) => LabColour[];
	/** Classes of the field by the material's colours, as a photo is read. */
	readonly relabel: (material: Material) => ClassMap;
	/** About the same in a tenth of the time: see `quickLook`. Codes of the box of `relabel`'s map, written again by the next call. */
	readonly quickLabels: (material: Material) => Uint8Array;
	readonly box: Pick<ClassMap, 'width' | 'height' | 'columnOffset' | 'rowOffset'>;
}

/**
 * Make a photo ready for teaching.
 *
 * @param raster - a picture of some 1200 pixels across is enough for a live view; circles are on this raster
 */
export function openTeachingView(raster: Raster, surface: Surface, light: Light): TeachingView {
	const box = fieldBoxOf(raster, surface);
	const cells = cellsOf(raster, surface, light, box);
	return {
		readSpot: (circle) => coloursInCircle(raster, surface, light, circle),
		relabel: (material) => labelCells(cells, box, surface, material),
		quickLabels: quickLook(cells, surface),
		box,
	};
}
