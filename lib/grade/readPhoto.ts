import { correctLight, type LightCorrection } from '../colour/correctLight';
import type { Material } from '../material/material';
import { FloorGround } from '../particles/floorGround';
import { judgeSpread } from '../particles/judgeSpread';
import { measurePieces } from '../particles/measure';
import { readSpread } from '../particles/readSpread';
import { refuseNonsense } from '../particles/refuseNonsense';
import type { SpreadReading } from '../particles/spreadReading';
import { judgePhoto, refuseCoarse } from '../photo/judgePhoto';
import { locateSurface, type SurfaceRequest } from '../photo/locateSurface';
import type { MatSize } from '../photo/matGeometry';
import { PaperGround } from '../photo/paperGround';
import type { PhotoWarning } from '../photo/photoWarning';
import type { Raster } from '../photo/raster';
import { lookAtShades } from '../photo/sideShade';
import type { Surface } from '../photo/surface';
import type { ClassMap } from '../segmentation/classMap';
import { leaveRivalledOut } from '../segmentation/doubtfulLight';
import { fieldCopy, fieldGrid, gridOnPhoto } from '../segmentation/fieldCopy';
import { mapOnPhoto } from '../segmentation/mapOnPhoto';
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
	/** The sheet that the mat was printed on, where its marks were found. */
	readonly matSize?: MatSize;
	readonly light: Pick<LightCorrection, 'source' | 'residual'>;
	readonly warnings: readonly PhotoWarning[];
	readonly classMap: ClassMap;
	readonly reading: SpreadReading;
}

/**
 * Read one decoded photo: find the field, correct the light, tell the classes apart, measure areas and widths.
 *
 * @param model - the optional pixel model; without it `auto` reads by thresholds
 * @throws TrayError `surface-missing` when there is no field, `photo-unreadable` when it is too coarse, `nothing-spread` when
 *   nothing lies in it or what lies there is no chopped cable
 */
export async function readPhoto(
	raster: Raster,
	request: PhotoRequest,
	material: Material,
	model?: PixelModel,
): Promise<PhotoReading> {
	const { surface, mat } = locateSurface(raster, request);
	refuseCoarse(surface);
	const light = correctLight(raster, surface);
	const method = request.method === 'threshold' || model === undefined ? 'threshold' : 'model';
	const pixelModel = method === 'model' ? model : undefined;
	const copy = fieldCopy(raster, surface, pixelModel?.scalePxPerMm);
	// the model sees the copy at its own scale, but its classes are told at the pixels that colours are read at
	const grid = fieldGrid(copy.raster, copy.surface);
	const classMap = await segment(copy.raster, copy.surface, light, material, pixelModel, grid);
	const measured = measurePieces(classMap, grid.surface);
	const reading = readSpread(classMap, grid.surface, method, measured);
	// on the copy: looks here and there at a large photo would each wait for memory
	const ground =
		mat === undefined
			? new FloorGround(classMap, grid.surface, copy.raster, copy.surface)
			: new PaperGround(copy.raster, copy.surface);
	const judged = judgePhoto({
		raster,
		surface,
		finestStrandMm: material.finestStrandMm,
		...(mat === undefined ? {} : { mat }),
		...(light.residual === undefined ? {} : { colourResidual: light.residual }),
		shades: lookAtShades(ground, surface),
	});
	refuseNonsense(measured, reading, grid.surface, judged);
	const isSideLit = judged.some(({ code }) => code === 'side-light');
	const { width, height } = raster;
	const onPhoto = gridOnPhoto(grid, copy);
	return {
		widthPx: width,
		heightPx: height,
		surface,
		...(mat === undefined ? {} : { matSize: mat.size }),
		light: { source: light.source, ...(light.residual === undefined ? {} : { residual: light.residual }) },
		warnings: [...light.warnings, ...judged, ...judgeSpread(reading, request.method === 'auto' && model === undefined)],
		// a grade needs only the reading, so it is laid out when somebody asks
		get classMap() {
			return mapOnPhoto(leaveRivalledOut(classMap), onPhoto, { width, height }, surface);
		},
		reading: isSideLit ? { ...reading, isSideLit } : reading,
	};
}
