import { UNJUDGED } from '../material/classes';
import type { Material } from '../material/material';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { piecesOf } from './cellPieces';
import { type CellCounts, type Cells, CLIPPED, countCells, labelsOfCells, OUTSIDE } from './cells';
import type { ClassMap } from './classMap';
import { cleanUp } from './cleanUp';
import { type FieldBox, fieldBoxOf } from './fieldBox';
import { weighGloss } from './glossLabels';
import type { Light } from './light';
import { compileLookupTable, type LookupTable } from './lookupTable';
import { stepTable } from './stepTable';
import { type SharedPatch, surfacePatches } from './surfaceColour';

/** A lamp's glint on a piece is smaller than the piece: at most this square, mm. Common practice, no source. */
const GLINT_MM = 1;

/**
 * Read the field into classes by colour, light-corrected CIELAB against the material's colour ellipsoids, and how what looks like
 * copper shines.
 *
 * Clipped pixels take the class that surrounds them or stay unjudged. Nothing outside the field is read.
 * Limit: colour tells copper from a neutral surface well, but grey plastic, tinned wire and aluminium share their colours.
 */
export function segmentByThreshold(raster: Raster, surface: Surface, light: Light, material: Material): ClassMap {
	const { map, steps, copperOverInsulation } = byColour(raster, surface, light, material);
	return weighGloss(raster, surface, light, map, steps, copperOverInsulation);
}

/** The same by colour alone: all that is called copper, however it shines. */
export function segmentByColour(raster: Raster, surface: Surface, light: Light, material: Material): ClassMap {
	return byColour(raster, surface, light, material).map;
}

function byColour(raster: Raster, surface: Surface, light: Light, material: Material) {
	const box = fieldBoxOf(raster, surface);
	const steps = stepTable(surface, light, box);
	const pieces = piecesOf(raster, box, steps);
	const { code, copperOverInsulation } = colourTable(countCells(raster, box, steps, pieces), surface, material);
	const map = cleaned(labelsOfCells(raster, box, steps, code, UNJUDGED, pieces), box, surface);
	return { map, steps, copperOverInsulation };
}

/** Classes of pixels already sorted into cells of colour: what teaching does over again when the material changes. */
export function labelCells(cells: Cells, box: FieldBox, surface: Surface, material: Material): ClassMap {
	const table = colourTable(cells, surface, material);
	const labels = new Uint8Array(box.width * box.height);
	for (let i = 0; i < labels.length; i++) {
		const cell = cells.cell[i]!;
		if (cell === OUTSIDE) continue;
		labels[i] = cell === CLIPPED ? UNJUDGED : table.code[cell]!;
	}
	return cleaned(labels, box, surface);
}

function cleaned(labels: Uint8Array, box: FieldBox, surface: Surface): ClassMap {
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

/** The class of every colour on one photo: bare surface as found on it and as taught, and the material's classes. */
export function colourTable(cells: CellCounts, surface: Surface, material: Material): LookupTable {
	return compileLookupTable(cells, bareColours(surfacePatches(cells, surface.kind), material), material);
}

/** Colours of bare surface: those found on the photo and those taught. */
export function bareColours(found: readonly SharedPatch[], material: Material): SharedPatch[] {
	const taught = material.surfaceColours ?? [];
	return [...found, ...taught.map((patch) => ({ ...patch, share: patch.share ?? 1 / taught.length }))];
}
