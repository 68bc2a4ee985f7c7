import { CLASS_CODE, MATERIAL_CLASSES, type MaterialClass, UNJUDGED } from '../material/classes';
import type { Surface } from '../photo/surface';
import type { ClassMap } from '../segmentation/classMap';
import { joinRuns, pixelsOf, type Runs, runsOfMap, runsWhere } from '../segmentation/labelRuns';
import { type CoveredSums, coveredSumsOf } from './coveredSums';
import { type FieldLine, fieldGeometry } from './fieldGeometry';
import { localWidthsPx, widthsOfRuns } from './localWidth';
import { sheetSharesPx } from './sheetParts';

/** One connected piece of one class as the photo shows it; pieces that touch count as one. */
export interface Piece {
	readonly class: MaterialClass;
	readonly areaMm2: number;
	/** Sum of local width times area over the piece. */
	readonly widthAreaMm3: number;
	/** Area-weighted mean of the local width. */
	readonly meanWidthMm: number;
	/** Area over mean width. */
	readonly lengthMm: number;
	/** Share of its area that was cut from sheet, as far as shape tells, 0 to 1; 0 for every class but aluminium. */
	readonly sheetShare: number;
	/** The piece reaches the field's edge, so part of it may lie outside. */
	readonly touchesEdge: boolean;
}

/** The pieces of a spread and where they are. */
export interface Measured {
	readonly pieces: readonly Piece[];
	/** The pieces' pixels along the rows of the class map. */
	readonly runs: Runs;
	/** Pixels of the class map that are not judged. */
	readonly unjudged: Runs;
	/** Piece number of each run plus one. */
	readonly pieceOfRun: Int32Array;
	/** Areas of each run's pixels inside the field, and widths times areas, summed. */
	readonly runAreaMm2: Float64Array;
	readonly runWidthAreaMm3: Float64Array;
	/** Of these areas what was cut from sheet, and of width times area what was not. */
	readonly runSheetAreaMm2: Float64Array;
	readonly runRoundWidthAreaMm3: Float64Array;
	/** Local width of the piece at each of these pixels, in reading order, photo pixels. */
	readonly widthPx: Float32Array;
}

const CLASS_OF_CODE = new Map<number, MaterialClass>(MATERIAL_CLASSES.map((name) => [CLASS_CODE[name], name]));

/**
 * Areas, widths and lengths of the pieces on a class map, in millimetres at each piece's own place on the surface.
 *
 * Pixels are weighted by the area they cover on the surface and by `map.cover` where there is one. Unjudged pixels belong
 * to no piece. Only pixels inside the field count.
 * Limit: a tilted camera shortens one direction; widths use the mean scale, exact for pieces that lie every way.
 */
export function measurePieces(map: ClassMap, surface: Surface): Measured {
	const { width, height, labels, cover } = map;
	const all = runsOfMap(map);
	const runs = runsWhere(all, (label) => label !== UNJUDGED);
	const unjudged = runsWhere(all, (label) => label === UNJUDGED);
	const { count, region: pieceOfRun } = joinRuns(runs);
	const widthPx =
		map.gaps === undefined ? widthsOfRuns(runs, labels, cover) : gathered(widthsApart(map, map.gaps), runs);
	const sums = new PieceSums(count);
	const runAreaMm2 = new Float64Array(runs.count);
	const runWidthAreaMm3 = new Float64Array(runs.count);
	const runSheetAreaMm2 = new Float64Array(runs.count);
	const runRoundWidthAreaMm3 = new Float64Array(runs.count);
	const geometry = fieldGeometry(surface);
	const reader: RowReader = {
		width,
		height,
		columnOffset: map.columnOffset,
		cover,
		runs,
		pieceOfRun,
		widthPx,
		covered: coveredSumsOf(runs, widthPx, cover),
		sheets: { shares: sheetSharesPx(runs, widthPx, map.gaps), at: 0 },
		sums,
		runAreaMm2,
		runWidthAreaMm3,
		runSheetAreaMm2,
		runRoundWidthAreaMm3,
		of: new Float64Array(2),
	};
	let k = 0;
	for (let row = 0; row < height; row++) k = measureRow(reader, row, geometry.line(row + map.rowOffset), k);
	const ofRuns = { runAreaMm2, runWidthAreaMm3, runSheetAreaMm2, runRoundWidthAreaMm3 };
	return { pieces: sums.pieces(), runs, unjudged, pieceOfRun, ...ofRuns, widthPx };
}

/** What is read of the runs of a row, and where it goes. */
interface RowReader extends Omit<Measured, 'pieces' | 'unjudged'> {
	// not the map itself: maps are not alike from photo to photo, and code compiled for one would be thrown away at the next
	readonly width: number;
	readonly height: number;
	readonly columnOffset: number;
	readonly cover: Uint8Array | undefined;
	/** Of the aluminium's pixels in reading order, and the number of the next one. */
	readonly sheets: { readonly shares: Float32Array; at: number };
	readonly covered: CoveredSums;
	readonly sums: PieceSums;
	/** Of one run: area, width times area. */
	readonly of: Float64Array;
}

/** Measure one row of the map, whose first labelled pixel is number `first`; returns the number of the next row's. */
function measureRow(reader: RowReader, row: number, line: FieldLine, first: number): number {
	const { width, height, columnOffset, cover } = reader;
	const { runs, pieceOfRun, widthPx, covered, sums, runAreaMm2, runWidthAreaMm3, of } = reader;
	const base = row * width;
	const shift = columnOffset - base;
	let k = first;
	for (let run = runs.firstOfRow[row]!; run < runs.firstOfRow[row + 1]!; run++) {
		const id = pieceOfRun[run]!;
		const from = runs.start[run]!;
		const to = runs.end[run]!;
		sums.code[id] = runs.label[run]!;
		if (row === 0 || row === height - 1 || from === base || to === base + width) sums.onEdge[id] = 1;
		// the field is convex: between two pixels inside it all are
		const isInside = line.areaMm2(from + shift) > 0 && line.areaMm2(to - 1 + shift) > 0;
		if (isInside) {
			// along a run a pixel's area changes by parts in ten thousand, evenly about its middle
			const pixelMm2 = line.insideMm2((from + to - 1) / 2 + shift);
			const scale = pixelMm2 / 255;
			of[0] = covered.area[run]! * scale;
			of[1] = covered.widthArea[run]! * (scale * Math.sqrt(pixelMm2));
		} else {
			of.fill(0);
			for (let i = from; i < to; i++) {
				const pixelMm2 = line.areaMm2(i + shift);
				if (pixelMm2 === 0) {
					sums.onEdge[id] = 1;
					continue;
				}
				const coveredMm2 = cover === undefined ? pixelMm2 : (pixelMm2 * cover[i]!) / 255;
				const widthMm = widthPx[k + i - from]! * Math.sqrt(pixelMm2);
				of[0]! += coveredMm2;
				of[1]! += coveredMm2 * widthMm;
			}
		}
		k += to - from;
		runAreaMm2[run] = of[0]!;
		runWidthAreaMm3[run] = of[1]!;
		sums.add(id, of);
		sums.sheetArea[id]! += addSheet(reader, run, from, to, k - to + from);
	}
	return k;
}

/** Part one run's sums into sheet and what is not; returns the area of sheet. `first` is the number of its first labelled pixel. */
function addSheet(reader: RowReader, run: number, from: number, to: number, first: number): number {
	const { cover, widthPx, sheets, runAreaMm2, runWidthAreaMm3, runSheetAreaMm2, runRoundWidthAreaMm3 } = reader;
	runRoundWidthAreaMm3[run] = runWidthAreaMm3[run]!;
	if (reader.runs.label[run] !== CLASS_CODE.aluminium) return 0;
	const { shares } = sheets;
	let [area, flat, widthArea, round] = [0, 0, 0, 0];
	for (let i = from, k = first; i < to; i++, k++) {
		const covered = cover === undefined ? 255 : cover[i]!;
		const share = shares[sheets.at++]!;
		area += covered;
		flat += covered * share;
		widthArea += covered * widthPx[k]!;
		round += covered * widthPx[k]! * (1 - share);
	}
	if (area > 0) runSheetAreaMm2[run] = (runAreaMm2[run]! * flat) / area;
	if (widthArea > 0) runRoundWidthAreaMm3[run] = (runWidthAreaMm3[run]! * round) / widthArea;
	return runSheetAreaMm2[run]!;
}

/** Piece number of each pixel plus one, 0 where there is none; the class map's size. */
export function pieceIds({ runs, pieceOfRun }: Measured): Int32Array {
	const ids = new Int32Array(runs.width * runs.height);
	for (let run = 0; run < runs.count; run++) ids.fill(pieceOfRun[run]!, runs.start[run]!, runs.end[run]!);
	return ids;
}

/** Local widths with pieces parted along the map's gaps; a pixel in a gap has the mean width of those beside it. */
function widthsApart({ width, height, labels: codes, cover }: ClassMap, gaps: Uint8Array): Float32Array {
	const labels = codes.map((code) => (code === UNJUDGED ? 0 : code));
	const apart = labels.map((label, i) => (gaps[i] === 1 ? 0 : label));
	const widths = localWidthsPx(apart, width, height, cover);
	let open = gaps.reduce<number[]>((found, gap, i) => {
		if (gap === 1 && labels[i] !== 0) found.push(i);
		return found;
	}, []);
	// from the shores inwards; each round fills what lies beside a filled pixel, so it ends
	while (open.length > 0) {
		const means = open.map((i) => meanBeside(labels, widths, i, width));
		const left = open.filter((i, k) => {
			widths[i] = means[k]!;
			return means[k] === 0;
		});
		if (left.length === open.length) return withWhole(widths, open, localWidthsPx(labels, width, height, cover));
		open = left;
	}
	return widths;
}

/** A piece that lies wholly in gaps has no shore to take a width from: it keeps the width that it shows. */
function withWhole(widths: Float32Array, open: readonly number[], whole: Float32Array): Float32Array {
	for (const i of open) widths[i] = whole[i]!;
	return widths;
}

/** A picture's numbers at the runs' pixels, in reading order. */
function gathered(picture: Float32Array, runs: Runs): Float32Array {
	const out = new Float32Array(pixelsOf(runs));
	let k = 0;
	for (let run = 0; run < runs.count; run++) {
		out.set(picture.subarray(runs.start[run]!, runs.end[run]!), k);
		k += runs.end[run]! - runs.start[run]!;
	}
	return out;
}

/** Mean width of the neighbours of one label that have one; 0 where none has. */
function meanBeside(labels: Uint8Array, widths: Float32Array, i: number, width: number): number {
	let [sum, count] = [0, 0];
	for (const step of [-width - 1, -width, 1 - width, -1, 1, width - 1, width, width + 1]) {
		if (labels[i + step] !== labels[i] || !(widths[i + step]! > 0)) continue;
		sum += widths[i + step]!;
		count++;
	}
	return count === 0 ? 0 : sum / count;
}

/** Sums over the pixels of each piece; index 0 is unused. */
class PieceSums {
	readonly code: Uint8Array;
	readonly area: Float64Array;
	readonly sheetArea: Float64Array;
	readonly widthArea: Float64Array;
	readonly onEdge: Uint8Array;
	constructor(count: number) {
		this.code = new Uint8Array(count + 1);
		this.area = new Float64Array(count + 1);
		this.sheetArea = new Float64Array(count + 1);
		this.widthArea = new Float64Array(count + 1);
		this.onEdge = new Uint8Array(count + 1);
	}
	/** @param of - area and width times area of one run */
	add(id: number, of: Float64Array): void {
		this.area[id]! += of[0]!;
		this.widthArea[id]! += of[1]!;
	}
	pieces(): Piece[] {
		const pieces: Piece[] = [];
		for (let id = 1; id < this.code.length; id++) pieces.push(this.piece(id));
		return pieces;
	}
	private piece(id: number): Piece {
		const areaMm2 = this.area[id]!;
		const name = CLASS_OF_CODE.get(this.code[id]!) ?? 'other';
		const meanWidthMm = areaMm2 > 0 ? this.widthArea[id]! / areaMm2 : 0;
		const lengthMm = meanWidthMm > 0 ? areaMm2 / meanWidthMm : 0;
		return {
			class: name,
			areaMm2,
			widthAreaMm3: this.widthArea[id]!,
			meanWidthMm,
			lengthMm,
			sheetShare: areaMm2 > 0 ? this.sheetArea[id]! / areaMm2 : 0,
			touchesEdge: this.onEdge[id] === 1,
		};
	}
}
