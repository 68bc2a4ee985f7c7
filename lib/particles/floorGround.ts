import type { Raster } from '../photo/raster';
import { cellAt, DEEP_SHADE, GROUND, type Ground, lightByCell, offsetAt } from '../photo/sideShade';
import { luminanceAt } from '../photo/srgbCurve';
import type { Surface } from '../photo/surface';
import type { ClassMap } from '../segmentation/classMap';

/** Share of a cell's bare looks that are no brighter than floor in the light: shade may take half of it, glints lie above. */
const LIT_QUANTILE = 0.8;

/** A plain tray's field, whose floor may have any colour: bare is what the reading calls so. */
export class FloorGround implements Ground {
	private readonly light: Float64Array;
	/** @param onMap - the field on the class map's pixels */
	constructor(
		private readonly map: ClassMap,
		private readonly onMap: Surface,
		private readonly raster: Raster,
		private readonly surface: Surface,
	) {
		this.light = lightByCell(raster, surface, LIT_QUANTILE, (x, y) => this.labelAt(x, y) === 0);
	}

	at(xMm: number, yMm: number): number {
		const { raster, surface, light } = this;
		const label = this.labelAt(xMm, yMm);
		const at = offsetAt(raster, surface.mmToPx, xMm, yMm);
		if (label === undefined || at < 0) return GROUND.outside;
		if (label !== 0) return GROUND.piece;
		return luminanceAt(raster.data, at) < DEEP_SHADE * light[4 * cellAt(surface, xMm, yMm)]!
			? GROUND.shade
			: GROUND.bare;
	}

	/** Undefined outside the map. */
	private labelAt(xMm: number, yMm: number): number | undefined {
		const { map, onMap } = this;
		const [a, b, c, d, e, f, g, h, i] = onMap.mmToPx;
		const w = g * xMm + h * yMm + i;
		const column = Math.floor((a * xMm + b * yMm + c) / w) - map.columnOffset;
		const row = Math.floor((d * xMm + e * yMm + f) / w) - map.rowOffset;
		return column >= 0 && row >= 0 && column < map.width && row < map.height
			? map.labels[row * map.width + column]
			: undefined;
	}
}
