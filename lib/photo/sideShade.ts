import type { Raster } from './raster';
import { LINEAR_OF_CODE, luminanceAt } from './srgbCurve';
import type { Matrix3, Surface } from './surface';

/** What lies at a place of the field. */
export const GROUND = { bare: 0, shade: 1, piece: 2, outside: 3 } as const;

/** Tells bare surface in the light, bare surface in deep shade, and pieces apart. */
export interface Ground {
	/** One of `GROUND` at a place of the field, mm. */
	at(xMm: number, yMm: number): number;
}

/** Below this share of the light around it bare surface lies in deep shade: two thirds come from one side. */
export const DEEP_SHADE = 1 / 3;
/** Ways looked along, over half a turn; lines of one way lie so far apart, and are looked at so often, mm. */
const WAYS = 8;
const LINE_MM = 4;
const STEP_MM = 0.25;
/** Share of the field that pieces cover at least for their shades to be told. */
const LEAST_COVER = 0.02;

/** What a field shows of pieces and of their shades. */
export interface ShadeSeen {
	/** Share of the field that pieces cover. */
	readonly cover: number;
	/** Surface in the deep shade of one light over the surface of the pieces; absent where there are hardly any, or no bare surface. */
	readonly sideShade?: number;
}

/**
 * How much deep shade a light from one side casts, both it and pieces as if nothing overlapped (Boolean model: bare is what neither hit).
 *
 * Along the light a shade has the piece that casts it before itself and lit ground behind; against it the other way round. What is dark by
 * itself, or lies between pieces, has both alike. So along each way shades of either order are set against each other; where they
 * differ most they tell what part of all that looks like shade is that of one light. What stands alone, as black pieces do, was cast by none.
 *
 * @returns undefined where none of the field is to be seen
 */
export function lookAtShades(
	ground: Ground,
	{ fieldWidthMm: width, fieldHeightMm: height }: FieldSize,
): ShadeSeen | undefined {
	const counts = new Float64Array(4);
	const reach = Math.hypot(width, height) / 2;
	let oneSided = 0;
	for (let way = 0; way < WAYS; way++) {
		const lengths = new Float64Array(3);
		for (let aside = -reach; aside < reach; aside += LINE_MM)
			followLine(ground, width, height, (Math.PI * way) / WAYS, aside, counts, lengths);
		const [behind, before, alone] = [lengths[0]!, lengths[1]!, lengths[2]!];
		const most = Math.max(behind + before, alone);
		if (most > 0) oneSided = Math.max(oneSided, Math.abs(behind - before) / most);
	}
	const [bare, shade, piece] = [counts[0]!, counts[1]!, counts[2]!];
	const all = bare + shade + piece;
	if (all === 0) return undefined;
	const cast = oneSided * shade;
	const cover = 1 - (bare + cast) / all;
	if (bare === 0 || cover < LEAST_COVER) return { cover };
	return { cover, sideShade: Math.log(bare / (bare + cast)) / Math.log(1 - cover) };
}

type FieldSize = Pick<Surface, 'fieldWidthMm' | 'fieldHeightMm'>;

/** Adds what lies along one line to `counts`, and lengths of shade behind a piece, before one and alone to `lengths`. Hot loop. */
function followLine(
	ground: Ground,
	width: number,
	height: number,
	angle: number,
	aside: number,
	counts: Float64Array,
	lengths: Float64Array,
): void {
	const dx = Math.cos(angle);
	const dy = Math.sin(angle);
	const x0 = width / 2 - aside * dy;
	const y0 = height / 2 + aside * dx;
	const [fromX, toX] = spanWithin(x0, dx, width);
	const [fromY, toY] = spanWithin(y0, dy, height);
	const to = Math.min(toX, toY);
	let before: number = GROUND.outside;
	let last: number = GROUND.outside;
	let run = 0;
	for (let s = Math.max(fromX, fromY) + STEP_MM / 2; s < to; s += STEP_MM) {
		const what = ground.at(x0 + s * dx, y0 + s * dy);
		counts[what]!++;
		if (what === last) {
			run++;
			continue;
		}
		if (last === GROUND.shade) {
			if (before === GROUND.piece && what === GROUND.bare) lengths[0]! += run;
			if (before === GROUND.bare && what === GROUND.piece) lengths[1]! += run;
			if (before === GROUND.bare && what === GROUND.bare) lengths[2]! += run;
		}
		before = last;
		last = what;
		run = 1;
	}
}

/** From where to where a line that begins at `start` and goes `step` a millimetre lies between 0 and `end`. */
function spanWithin(start: number, step: number, end: number): readonly [from: number, to: number] {
	if (Math.abs(step) < 1e-9) return start > 0 && start < end ? [-Infinity, Infinity] : [Infinity, -Infinity];
	const [one, other] = [-start / step, (end - start) / step];
	return one < other ? [one, other] : [other, one];
}

/** Cells of the field in which the light on bare surface is taken, and looks across and down one. */
const CELLS = { across: 8, down: 6, looks: 16 };

/** Number of the cell in which a place of the field lies. */
export function cellAt({ fieldWidthMm, fieldHeightMm }: FieldSize, xMm: number, yMm: number): number {
	return (
		Math.floor((yMm / fieldHeightMm) * CELLS.down) * CELLS.across + Math.floor((xMm / fieldWidthMm) * CELLS.across)
	);
}

/**
 * The light on bare surface, cell by cell.
 *
 * @param share - of a cell's looks, those not brighter than bare surface in the light
 * @param isBare - whether a place may be bare
 * @returns of each cell luminance, then mean red, green and blue of what is about as bright, linear
 */
export function lightByCell(
	raster: Raster,
	surface: Surface,
	share: number,
	isBare: (xMm: number, yMm: number) => boolean,
) {
	const light = new Float64Array(4 * CELLS.across * CELLS.down);
	const [columns, rows] = [CELLS.across * CELLS.looks, CELLS.down * CELLS.looks];
	const offsets: number[][] = Array.from({ length: CELLS.across * CELLS.down }, () => []);
	for (let look = 0; look < columns * rows; look++) {
		const x = (surface.fieldWidthMm * ((look % columns) + 0.5)) / columns;
		const y = (surface.fieldHeightMm * (Math.floor(look / columns) + 0.5)) / rows;
		const at = isBare(x, y) ? offsetAt(raster, surface.mmToPx, x, y) : -1;
		if (at >= 0) offsets[cellAt(surface, x, y)]!.push(at);
	}
	for (const [cell, seen] of offsets.entries()) {
		const sorted = Float64Array.from(seen, (at) => luminanceAt(raster.data, at)).sort();
		const bright = sorted[Math.floor(share * (sorted.length - 1))] ?? 0;
		const alike = seen.filter((at) => Math.abs(luminanceAt(raster.data, at) / bright - 1) < 0.15);
		light[4 * cell] = bright;
		for (const at of alike)
			for (let c = 0; c < 3; c++) light[4 * cell + 1 + c]! += LINEAR_OF_CODE[raster.data[at + c]!]! / alike.length;
	}
	return light;
}

/** Where in a raster's bytes a place of the field lies; -1 outside the picture. */
export function offsetAt({ width, height }: Raster, mmToPx: Matrix3, xMm: number, yMm: number): number {
	const w = mmToPx[6] * xMm + mmToPx[7] * yMm + mmToPx[8];
	const x = Math.floor((mmToPx[0] * xMm + mmToPx[1] * yMm + mmToPx[2]) / w);
	const y = Math.floor((mmToPx[3] * xMm + mmToPx[4] * yMm + mmToPx[5]) / w);
	return x >= 0 && y >= 0 && x < width && y < height ? 3 * (y * width + x) : -1;
}
