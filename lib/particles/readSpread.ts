import { MATERIAL_CLASSES, perClass } from '../material/classes';
import type { Surface } from '../photo/surface';
import type { ClassMap } from '../segmentation/classMap';
import { rivalledInsulation } from '../segmentation/doubtfulLight';
import { areasByBlock } from './areasByBlock';
import { BlockGrid } from './blockGrid';
import { Borders } from './borders';
import { type FieldLine, fieldGeometry } from './fieldGeometry';
import { type Measured, measurePieces } from './measure';
import { edgeShareOf, statisticsOf, stubbinessOf } from './pieceStatistics';
import type { BlockSums, SpreadReading } from './spreadReading';

/**
 * What one photo says before any mass is worked out: areas and width sums per class in blocks of the field, and the pieces.
 *
 * A piece's pixels count where they lie, so a piece on the border of two blocks counts in both with its parts. Where a part is likely
 * sheet (lib/particles/sheetParts.ts) that share of its area goes to `sheetAreaMm2`, the rest of its width times area to `widthAreaMm3`, less what a slanted look adds to it (slantedView.ts). Where the map brings areas of its own, those stand, with the widths that the labels show.
 */
export function readSpread(
	map: ClassMap,
	surface: Surface,
	method: SpreadReading['method'],
	measured: Measured = measurePieces(map, surface),
): SpreadReading {
	const grid = new BlockGrid(surface);
	const borders = new Borders(grid.fieldMm2.length);
	const { pieces } = measured;
	const geometry = fieldGeometry(surface);
	const { width, height, columnOffset, rowOffset, cover } = map;
	let k = 0;
	for (let row = 0; row < height; row++)
		k = addRow(grid, borders, measured, row, width, columnOffset, cover, geometry.line(row + rowOffset), k);
	if (map.areas !== undefined) {
		grid.takeAreas(areasByBlock(map, map.areas, surface, grid));
		const { unsurePx } = map.areas;
		if (unsurePx !== undefined) grid.unsureMm2 = areasByBlock(map, { ...map.areas, px: unsurePx }, surface, grid);
	}
	const rivalled = rivalledInsulation(map);
	for (let row = 0; rivalled !== undefined && row < height; row++)
		addRivalled(grid, rivalled.subarray(row * width, (row + 1) * width), columnOffset, geometry.line(row + rowOffset));
	const blocks = grid.blocks(stubbinessOf(pieces));
	return {
		method,
		surfaceKind: surface.kind,
		blocks,
		pieces: perClass((name) => statisticsOf(pieces, name)),
		pixelMm: 1 / surface.pxPerMm,
		coverageFraction: coverageOf(blocks, grid.rivalledMm2),
		edgeAreaFraction: edgeShareOf(pieces),
		bordersOverChance: borders.overChance(blocks),
	};
}

/** Add one row of the map, whose first labelled pixel is number `first`; returns the number of the next row's. */
function addRow(
	grid: BlockGrid,
	borders: Borders,
	{ runs, unjudged, widthPx, runAreaMm2, runWidthAreaMm3, runSheetAreaMm2, runRoundWidthAreaMm3 }: Measured,
	row: number,
	width: number,
	columnOffset: number,
	cover: Uint8Array | undefined,
	line: FieldLine,
	first: number,
): number {
	let k = first;
	grid.addField(line, columnOffset, columnOffset + width);
	const offset = columnOffset - row * width;
	for (let run = unjudged.firstOfRow[row]!; run < unjudged.firstOfRow[row + 1]!; run++)
		grid.addUnjudged(line, unjudged.start[run]! + offset, unjudged.end[run]! + offset);
	let slit = unjudged.firstOfRow[row]!;
	for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
		const code = runs.label[run]!;
		const sheet = runSheetAreaMm2[run]!;
		const round = runRoundWidthAreaMm3[run]!;
		const from = runs.start[run]! + offset;
		const last = runs.end[run]! - 1 + offset;
		const block = grid.blockAt(line.xMm(from), line.yMm(from));
		let unjudgedPx = 0;
		for (; slit < unjudged.firstOfRow[row + 1]! && unjudged.start[slit]! < runs.start[run]!; slit++)
			unjudgedPx += unjudged.end[slit]! - unjudged.start[slit]!;
		borders.add(code, from, last + 1, block, unjudgedPx);
		// blocks are convex: a run that begins and ends in one lies in it
		if (block === grid.blockAt(line.xMm(last), line.yMm(last))) {
			grid.add(block, code, runAreaMm2[run]!, round, sheet);
			k += last - from + 1;
			continue;
		}
		const sheetPart = sheet / Math.max(runAreaMm2[run]!, 1e-12);
		const roundPart = round / Math.max(runWidthAreaMm3[run]!, 1e-12);
		grid.addEach(line, from, last + 1, offset, code, cover, widthPx, k, roundPart, sheetPart);
		k += last - from + 1;
	}
	borders.endRow();
	return k;
}

/** Add metal's part of one row's insulation that metal rivals to what is not judged, though areas hold it: no share moves. */
function addRivalled(grid: BlockGrid, parts: Uint8Array, columnOffset: number, line: FieldLine): void {
	for (const [column, part] of parts.entries()) {
		if (part === 0) continue;
		const x = column + columnOffset;
		const rivalledMm2 = (line.areaMm2(x) * part) / 255;
		grid.unjudgedMm2[grid.blockAt(line.xMm(x), line.yMm(x))]! += rivalledMm2;
		grid.rivalledMm2 += rivalledMm2;
	}
}

/** Share of the field that pieces cover, without what may be either. */
function coverageOf(blocks: readonly BlockSums[], rivalledMm2: number): number {
	let covered = 0;
	let judged = rivalledMm2;
	for (const block of blocks) {
		for (const name of MATERIAL_CLASSES) covered += block.areaMm2[name];
		judged += block.fieldMm2 - block.unjudgedMm2;
	}
	return judged > 0 ? Math.min(1, covered / judged) : 0;
}
