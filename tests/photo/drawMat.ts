import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { applyHomography, homographyOf } from '@/lib/photo/homography';
import { MODULES_PER_SIDE, whiteModules } from '@/lib/photo/markerCodes';
import { cornersOf, type MatGeometry, type MatSize, matGeometry, type RectMm } from '@/lib/photo/matGeometry';
import type { PointPx, Raster } from '@/lib/photo/raster';
import { decodeSrgb, encodeSrgb } from '@/lib/photo/srgbCurve';
import type { Matrix3 } from '@/lib/photo/surface';

/** sRGB codes of paper and ink. */
const PAPER_CODE = 246;
const INK_CODE = 34;

type Colour = readonly [number, number, number];

/** How a made-up photo of the mat is taken; everything in linear light. */
export interface MatShot {
	readonly size?: MatSize;
	readonly width?: number;
	readonly height?: number;
	/** Where the sheet's corners fall on the photo, clockwise from its top-left. */
	readonly sheetPx?: readonly [PointPx, PointPx, PointPx, PointPx];
	/** Light per channel at a place on the sheet, mm from its top-left; 1 puts a perfect white at full scale. */
	readonly light?: (x: number, y: number) => Colour;
	/** Standard deviation of the lens blur, pixels. */
	readonly blurPx?: number;
	/** Bend of the camera's brightness, linear to linear, before the sRGB curve. */
	readonly tone?: (linear: number) => number;
	/** Reflectance of what lies on the sheet at a place; undefined where it is bare. */
	readonly spread?: (x: number, y: number) => Colour | undefined;
	/** Marks left out, by their place: 0 top-left, clockwise. */
	readonly missing?: readonly number[];
	/** Order of the marks' ids, clockwise from top-left. */
	readonly order?: readonly number[];
	readonly noise?: number;
}

export interface MatPhoto {
	readonly raster: Raster;
	/** Sheet millimetres to pixels: the truth. */
	readonly sheetToPx: Matrix3;
}

const TABLE: Colour = [0.16, 0.12, 0.09];
const SHEET_PX: NonNullable<MatShot['sheetPx']> = [
	{ x: 40.3, y: 38.6 },
	{ x: 861.2, y: 30.4 },
	{ x: 842.7, y: 612.9 },
	{ x: 55.8, y: 620.1 },
];
/** Rays along a pixel's side where an edge runs through it. */
const RAYS = 8;

/** Draw the mat as a camera would see it: 64 rays in edge pixels, blur and noise in linear light, then the sRGB curve. */
export function drawMat(shot: MatShot = {}): MatPhoto {
	const { width = 900, height = 660, blurPx = 0.7, noise = 0, sheetPx = SHEET_PX } = shot;
	const geometry = matGeometry(shot.size ?? 'A5');
	const sheet = cornersOf({ x: 0, y: 0, width: geometry.sheetWidthMm, height: geometry.sheetHeightMm });
	const reflect = reflector(shot, geometry);
	const pxToSheet = homographyOf(sheetPx, sheet);
	const at = (x: number, y: number) => applyHomography(pxToSheet, x, y);
	const linear = new Float32Array(3 * width * height);
	const inkAt = (x: number, y: number) => {
		const { x: xMm, y: yMm } = at(x, y);
		return reflect(xMm, yMm);
	};
	// pixel corners are shared: a pixel whose corners and middle show one ink needs no more rays
	let above = Array.from({ length: width + 1 }, (_, column) => inkAt(column, 0));
	for (let row = 0; row < height; row++) {
		const below = Array.from({ length: width + 1 }, (_, column) => inkAt(column, row + 1));
		for (let column = 0; column < width; column++) {
			const middle = at(column + 0.5, row + 0.5);
			const ink = reflect(middle.x, middle.y);
			const pure = [above[column], above[column + 1], below[column], below[column + 1]].every((c) => c === ink);
			const light = shot.light?.(middle.x, middle.y) ?? [0.8, 0.8, 0.8];
			const seen = pure ? ink : meanOf(column, row, inkAt);
			for (let c = 0; c < 3; c++) linear[3 * (row * width + column) + c] = seen[c]! * light[c]!;
		}
		above = below;
	}
	const soft = blurPx > 0 ? blurred(linear, width, height, blurPx) : linear;
	const random = xoroshiro128plus(7);
	const tone = shot.tone ?? ((v: number) => v);
	const data = Uint8Array.from(soft, (v) => {
		const grain = noise === 0 ? 0 : noise * ((random.next() >>> 0) / 2 ** 32 - 0.5);
		return Math.round(255 * encodeSrgb(Math.min(1, Math.max(0, tone(v + grain)))));
	});
	return { raster: { width, height, channels: 3, colourSpace: 'srgb', data }, sheetToPx: homographyOf(sheet, sheetPx) };
}

type Reflector = (x: number, y: number) => Colour;

function meanOf(column: number, row: number, inkAt: Reflector): Colour {
	const sum: [number, number, number] = [0, 0, 0];
	for (let k = 0; k < RAYS * RAYS; k++) {
		const colour = inkAt(column + ((k % RAYS) + 0.5) / RAYS, row + (Math.floor(k / RAYS) + 0.5) / RAYS);
		for (let c = 0; c < 3; c++) sum[c]! += colour[c]! / (RAYS * RAYS);
	}
	return sum;
}

/** Reflectance at a place on the sheet; the same object for the same ink, so that edges can be told. */
function reflector(shot: MatShot, geometry: MatGeometry): Reflector {
	const paper = grey(PAPER_CODE);
	const ink = grey(INK_CODE);
	const patches = geometry.patches.map((p) => ({ ...p, colour: grey(p.code) }));
	const marks = geometry.fiducials.map((f, place) => ({
		...f,
		white: whiteModules(geometry.fiducials[shot.order?.[place] ?? place]!.id),
		left: shot.missing?.includes(place) === true,
	}));
	return (x, y) => {
		if (x < 0 || y < 0 || x > geometry.sheetWidthMm || y > geometry.sheetHeightMm) return TABLE;
		if (isIn(geometry.field, x, y)) return shot.spread?.(x, y) ?? paper;
		const mark = marks.find((m) => isIn(m, x, y));
		if (mark) {
			const module = mark.width / MODULES_PER_SIDE;
			const row = Math.min(5, Math.floor((y - mark.y) / module));
			const column = Math.min(5, Math.floor((x - mark.x) / module));
			return mark.left || mark.white[row]![column]! ? paper : ink;
		}
		return patches.find((p) => isIn(p, x, y))?.colour ?? paper;
	};
}

function grey(code: number): Colour {
	const v = decodeSrgb(code / 255);
	return [v, v, v];
}

function isIn(rect: RectMm, x: number, y: number): boolean {
	return x >= rect.x && x < rect.x + rect.width && y >= rect.y && y < rect.y + rect.height;
}

/** Gaussian blur, rows then columns; the rim is carried outwards. */
function blurred(linear: Float32Array, width: number, height: number, sigma: number): Float32Array {
	const reach = Math.ceil(3 * sigma);
	const weights = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
	const sum = weights.reduce((s, w) => s + w, 0);
	const pass = (from: Float32Array, stride: number, length: number, place: (i: number) => number) => {
		const out = new Float32Array(from.length);
		for (let i = 0; i < width * height; i++) {
			const at = place(i);
			for (let c = 0; c < 3; c++) {
				let value = 0;
				for (let k = -reach; k <= reach; k++) {
					const step = Math.min(Math.max(at + k, 0), length - 1) - at;
					value += weights[k + reach]! * from[3 * (i + step * stride) + c]!;
				}
				out[3 * i + c] = value / sum;
			}
		}
		return out;
	};
	const across = pass(linear, 1, width, (i) => i % width);
	return pass(across, width, height, (i) => Math.floor(i / width));
}
