import { ERROR_CLASSES } from '@/lib/grade/errorRates';
import type { GradeTables } from '@/lib/grade/gradeProduct';
import type { PhotoReading } from '@/lib/grade/readPhoto';
import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, type MaterialClass, perClass } from '@/lib/material/classes';
import type { Raster } from '@/lib/photo/raster';
import type { ClassMap } from '@/lib/segmentation/classMap';
import { fieldBoxOf } from '@/lib/segmentation/fieldBox';
import { isThinnerThan } from '@/lib/segmentation/thinParts';
import type { TrayTruth } from './trayTruth';

/** What reads the pictures: the two methods of the product, and a plain rule on hue and saturation to stand beside them. */
export type Method = 'threshold' | 'model' | 'hue';

/** How one picture was read, set against its truth. */
export interface Scored {
	readonly picture: string;
	readonly method: Method;
	readonly surface: string;
	readonly light: string;
	readonly product: string;
	readonly seconds: number;
	/** Estimated minus true share of all pieces' area, percentage points, per class; the hue rule knows copper alone. */
	readonly areaShareError: Partial<Record<MaterialClass, number>>;
	/** Called bright copper as a share of all pieces' area. */
	readonly copperShare: number;
	readonly freeCopper?: ScoredShare;
	readonly copper?: ScoredShare;
	readonly densityOnlyFreeCopper?: number;
	readonly warnings: readonly string[];
	/** Red to brown insulation: its pixels, and those of them called bright copper; the same of those two pixels and more inside pieces. */
	readonly redBrown?: Called & { readonly inside: Called };
	/** Copper strands under three pixels wide that lie free: their true area and the metal area called there, pixels. */
	readonly hair?: { readonly truePx: number; readonly calledPx: number };
	readonly table?: readonly (readonly number[])[];
	/** Share of the field that counts as each class, by code, bare surface first; what is not judged is shared out by the model's probabilities. */
	readonly counted?: readonly number[];
}

/** Pixels, and those of them called bright copper. */
export interface Called {
	readonly pixels: number;
	readonly calledCopper: number;
}

export interface ScoredShare {
	readonly truth: number;
	readonly value: number;
	readonly low: number;
	readonly high: number;
	readonly holds: boolean;
	readonly below: boolean;
}

/** One grade against its truth. */
export function scoredShare(tables: GradeTables, name: 'copper' | 'freeCopper', truth: number): ScoredShare {
	const { value, low, high, belowDetectionLimit } = tables.massFraction[name];
	return { truth, value, low, high, holds: low <= truth && truth <= high, below: belowDetectionLimit === true };
}

/** Estimated less true share of the pieces' area, percentage points, per class. */
export function areaShareErrors(reading: PhotoReading, truth: TrayTruth): Record<MaterialClass, number> {
	return perClass((name) => 100 * (calledShare(reading, name) - trueShare(truth, name)));
}

export function trueShare(truth: TrayTruth, name: MaterialClass): number {
	return truth.projected_area_fraction_by_class_of_particles[String(CLASS_CODE[name])] ?? 0;
}

/** Share of all pieces' area as called, error rates not taken off: what segmentation alone is judged by. */
export function calledShare({ reading }: PhotoReading, name: MaterialClass): number {
	const area = (of: MaterialClass) => reading.blocks.reduce((sum, block) => sum + block.areaMm2[of], 0);
	return area(name) / MATERIAL_CLASSES.reduce((sum, of) => sum + area(of), 0);
}

/** Share of the field that counts as each class, by code, bare surface first, with the model's best guess of what it leaves unjudged. */
export function countedShares({ reading: { blocks } }: PhotoReading): number[] {
	const fieldMm2 = blocks.reduce((sum, block) => sum + block.fieldMm2, 0);
	const shares = MATERIAL_CLASSES.map((name) =>
		blocks.reduce((sum, { areaMm2, unsureMm2 }) => sum + (areaMm2[name] + (unsureMm2?.[name] ?? 0)) / fieldMm2, 0),
	);
	return [1 - shares.reduce((sum, share) => sum + share, 0), ...shares];
}

/** Pixel counts inside the field: rows true class, columns called class, not-judged pixels left out. */
export function confusionOf(map: ClassMap, inside: Uint8Array, mask: Uint8Array, widthPx: number): number[][] {
	const table = Array.from({ length: ERROR_CLASSES }, () => new Array<number>(ERROR_CLASSES).fill(0));
	eachInside(map, inside, widthPx, (i, at) => {
		const called = map.labels[i]!;
		if (called < ERROR_CLASSES) table[mask[at]!]![called]! += 1;
	});
	return table;
}

/** Smallest chroma-like spread of a pixel's bytes, and hues in degrees, of what a person calls red, orange or brown. */
const RED_BROWN = { least: 30, from: -20, to: 45 } as const;

/** A pixel counts as inside a piece where all that lie this near are insulation too: edges mix with what they touch. */
const INSIDE_PX = 2;

/** Insulation pixels from red to brown, by their bytes as shot, and how many of them are called bright copper; inside pieces apart. */
export function redBrownOf(
	map: ClassMap,
	inside: Uint8Array,
	mask: Uint8Array,
	raster: Raster,
): Called & { readonly inside: Called } {
	const all = { pixels: 0, calledCopper: 0 };
	const inner = { pixels: 0, calledCopper: 0 };
	const rows = mask.length / raster.width;
	const isInner = (at: number) => {
		const [x, y] = [at % raster.width, Math.floor(at / raster.width)];
		for (let dy = -INSIDE_PX; dy <= INSIDE_PX; dy++) {
			for (let dx = -INSIDE_PX; dx <= INSIDE_PX; dx++) {
				if (x + dx < 0 || x + dx >= raster.width || y + dy < 0 || y + dy >= rows) return false;
				if (mask[at + dy * raster.width + dx] !== CLASS_CODE.insulation) return false;
			}
		}
		return true;
	};
	eachInside(map, inside, raster.width, (i, at) => {
		if (mask[at] !== CLASS_CODE.insulation) return;
		const { hueDeg, spread } = hueOf(raster, at);
		if (spread < RED_BROWN.least || hueDeg < RED_BROWN.from || hueDeg > RED_BROWN.to) return;
		const wrong = map.labels[i] === CLASS_CODE.brightCopper ? 1 : 0;
		for (const sums of isInner(at) ? [all, inner] : [all]) {
			sums.pixels++;
			sums.calledCopper += wrong;
		}
	});
	return { ...all, inside: inner };
}

/** Strands are looked at as far as this from their own pixels: what blurs further lies under the noise. */
const HAIR_REACH_PX = 3;

/**
 * Free-lying copper strands narrower than three pixels: their true area and the metal area called at and beside them.
 *
 * Strands within reach of any other piece are left out: there a called pixel cannot be told whose it is.
 */
export function hairOf(map: ClassMap, inside: Uint8Array, mask: Uint8Array, widthPx: number) {
	const { width, height } = map;
	const own = new Uint8Array(width * height);
	eachInside(map, inside, widthPx, (i, at) => {
		own[i] = mask[at]!;
	});
	const thin = isThinnerThan(3, own, width, height);
	const metal = (code: number) => code === CLASS_CODE.brightCopper || code === CLASS_CODE.tinnedCopper;
	const hair = own.map((code, i) => (metal(code) && thin[i] === 1 ? 1 : 0));
	const nearHair = grown(hair, width, height, HAIR_REACH_PX);
	const others = own.map((code, i) => (code !== BACKGROUND && hair[i] === 0 ? 1 : 0));
	const nearOthers = grown(others, width, height, 2 * HAIR_REACH_PX);
	let truePx = 0;
	let calledPx = 0;
	for (let i = 0; i < own.length; i++) {
		if (nearHair[i] === 0 || nearOthers[i] === 1) continue;
		truePx += hair[i]!;
		if (metal(map.labels[i]!)) calledPx += (map.cover?.[i] ?? 255) / 255;
	}
	return { truePx, calledPx };
}

/** 1 within a square of `reach` about any 1. */
function grown(of: Uint8Array, width: number, height: number, reach: number): Uint8Array {
	const along = new Uint8Array(of.length);
	const out = new Uint8Array(of.length);
	for (let i = 0; i < of.length; i++) {
		if (of[i] === 0) continue;
		const column = i % width;
		along.fill(1, i - Math.min(reach, column), i + Math.min(reach, width - 1 - column) + 1);
	}
	for (let i = 0; i < of.length; i++) {
		if (along[i] === 0) continue;
		for (let j = Math.max(i % width, i - reach * width); j <= i + reach * width && j < of.length; j += width)
			out[j] = 1;
	}
	return height > 0 ? out : of;
}

/**
 * A plain rule for copper on the bytes as shot: hue from red-orange to yellow-orange, some saturation, not too dark.
 *
 * @source limits as a person would set them in any picture program: 5 to 40 degrees, saturation 0.25, value 0.2 (chosen by eye)
 */
function isHueCopper(raster: Raster, at: number): boolean {
	const { hueDeg, spread, value } = hueOf(raster, at);
	return value > 51 && spread > 0.25 * value && hueDeg >= 5 && hueDeg <= 40;
}

/** Hue (-180 to 180 degrees), spread of the bytes and the largest byte of a pixel. */
function hueOf({ data }: Raster, at: number): { hueDeg: number; spread: number; value: number } {
	const [r, g, b] = [data[3 * at]!, data[3 * at + 1]!, data[3 * at + 2]!];
	const value = Math.max(r, g, b);
	const spread = value - Math.min(r, g, b);
	if (spread === 0) return { hueDeg: 180, spread, value };
	const sixth = value === r ? (g - b) / spread : value === g ? 2 + (b - r) / spread : 4 + (r - g) / spread;
	return { hueDeg: sixth > 3 ? 60 * (sixth - 6) : 60 * sixth, spread, value };
}

/**
 * Copper by the hue rule, on the pieces that another reading found: pieces are bare surface's contrary, which a hue rule for
 * copper cannot tell, so it is given them.
 */
export function hueMap(map: ClassMap, inside: Uint8Array, raster: Raster): ClassMap {
	const labels = new Uint8Array(map.labels.length);
	eachInside(map, inside, raster.width, (i, at) => {
		if (isHueCopper(raster, at)) labels[i] = CLASS_CODE.brightCopper;
		else if (map.labels[i] !== BACKGROUND) labels[i] = CLASS_CODE.insulation;
	});
	const { cover: _, ...bare } = map;
	return { ...bare, labels };
}

/** Share of a map's piece pixels that are called a class. */
export function pixelShare({ labels }: ClassMap, name: MaterialClass): number {
	let pieces = 0;
	let own = 0;
	for (const label of labels) {
		if (label !== BACKGROUND) pieces++;
		if (label === CLASS_CODE[name]) own++;
	}
	return own / Math.max(1, pieces);
}

/** Visit the pixels of a map that lie in the field: index on the map, index on the photo. */
function eachInside(map: ClassMap, inside: Uint8Array, widthPx: number, visit: (i: number, at: number) => void): void {
	for (let row = 0; row < map.height; row++) {
		for (let column = 0; column < map.width; column++) {
			const i = row * map.width + column;
			if (inside[i] === 1) visit(i, (row + map.rowOffset) * widthPx + column + map.columnOffset);
		}
	}
}

/** The field's pixels of a reading. */
export function insideOf({ widthPx, heightPx, surface }: PhotoReading): Uint8Array {
	return fieldBoxOf({ width: widthPx, height: heightPx }, surface).inside;
}
