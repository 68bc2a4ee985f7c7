import { MATERIAL_CLASSES } from '../material/classes';
import { applyHomography, areaPerPixelMm2 } from '../photo/homography';
import type { Matrix3, Surface } from '../photo/surface';
import type { AreaTiles, ClassMap } from '../segmentation/classMap';

/** Class codes run from 0 (surface) to the number of classes. */
const CODES = MATERIAL_CLASSES.length + 1;

/** The blocks that a field is cut into. */
interface Blocks {
	/** One number a block. */
	readonly fieldMm2: Float64Array;
	blockAt(xMm: number, yMm: number): number;
}

/** The map's own areas, mm2, by block and class code: each square goes where its middle lies. */
export function areasByBlock(map: ClassMap, areas: AreaTiles, surface: Surface, grid: Blocks): Float64Array {
	const sums = new Float64Array(grid.fieldMm2.length * CODES);
	const { across, down, tilePx, px } = areas;
	for (let line = 0; line < down; line++) {
		const row = middleOf(line * tilePx, tilePx, map.height) + map.rowOffset;
		addTiles(grid, surface.pxToMm, px, line * across, across, tilePx, map.width, map.columnOffset, row, sums);
	}
	return sums;
}

/** Add the squares of one line, whose middles lie in row `row` of the photo. */
function addTiles(
	grid: Blocks,
	pxToMm: Matrix3,
	px: Float32Array,
	first: number,
	across: number,
	tilePx: number,
	width: number,
	columnOffset: number,
	row: number,
	sums: Float64Array,
): void {
	for (let k = 0; k < across; k++) {
		const column = middleOf(k * tilePx, tilePx, width) + columnOffset;
		const { x, y } = applyHomography(pxToMm, column, row);
		const pixelMm2 = areaPerPixelMm2(pxToMm, column, row);
		const block = grid.blockAt(x, y) * CODES;
		for (let code = 0; code < CODES; code++) sums[block + code]! += px[(first + k) * CODES + code]! * pixelMm2;
	}
}

/** Middle of a square that begins at `from`, cut off where the map ends. */
function middleOf(from: number, tilePx: number, size: number): number {
	return (from + Math.min(from + tilePx, size)) / 2;
}
