import { readFile } from 'node:fs/promises';
import sharp from 'sharp';
import { readPhoto } from '@/lib/grade/readPhoto';
import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { decodePhoto } from '@/lib/photo/decode';
import type { Matrix3 } from '@/lib/photo/surface';
import { labelsOnPhoto } from '@/lib/report/classMapFile';
import { CLASS_STYLES } from '@/lib/report/classPalette';
import { type FieldWindow, fieldLabels, fieldPicture, fieldToPhoto, sizeOfWindow } from '@/lib/report/fieldPicture';
import type { PixelModel } from '@/lib/segmentation/pixelModel';
import { surfaceRequestFor, type TrayTruth } from './trayTruth';
import { readMask } from './trueMap';

/** Side of the square that is shown, and how finely: nearly as a photo of 3 megapixels sees a mat. */
const SIDE_MM = 20;
const PX_PER_MM = 6;
const GAP_PX = 6;
/** How finely the place with the most wrong pixels is looked for, and in what steps. */
const SEARCH_PX_PER_MM = 2;
const STEP_MM = 5;

interface Labels {
	readonly data: Uint8Array;
	readonly width: number;
	readonly height: number;
}

/** Two WebP files: the place as photographed, and beside each other the classes as the model calls them and the true ones. */
export interface WorstPicture {
	readonly photo: Uint8Array;
	readonly classes: Uint8Array;
}

/**
 * Where a picture is read worst, from straight above.
 *
 * @param stem - path of the picture without its ending; its class mask lies beside it
 */
export async function worstPicture(stem: string, truth: TrayTruth, model: PixelModel): Promise<WorstPicture> {
	const { raster } = await decodePhoto(await readFile(`${stem}.jpg`));
	const { classMap } = await readPhoto(
		raster,
		{ ...surfaceRequestFor(truth), method: 'model' },
		DEFAULT_MATERIAL,
		model,
	);
	const { width, height } = raster;
	const called: Labels = { data: labelsOnPhoto(classMap, raster), width, height };
	const mask = await readMask(`${stem}.mask.png`);
	const [widthMm, heightMm] = truth.field_mm;
	const mmToPx = fieldToPhoto(truth.field_corners_px.flat(), widthMm, heightMm);
	const window = worstWindow(called, mask, mmToPx, widthMm, heightMm);
	const { width: widthPx, height: heightPx } = sizeOfWindow(window);
	const photo = sharp(fieldPicture(raster, mmToPx, window), { raw: { width: widthPx, height: heightPx, channels: 3 } });
	return {
		photo: await photo.webp({ quality: 55, effort: 6 }).toBuffer(),
		classes: await sideBySide([called, mask].map((labels) => inColours(fieldLabels(labels, mmToPx, window)))),
	};
}

/** The square of the field with the most pixels called otherwise than they are; the first in reading order of equals. */
function worstWindow(called: Labels, mask: Labels, mmToPx: Matrix3, widthMm: number, heightMm: number): FieldWindow {
	const whole = { xMm: 0, yMm: 0, widthMm, heightMm, pxPerMm: SEARCH_PX_PER_MM };
	const [ours, theirs] = [fieldLabels(called, mmToPx, whole), fieldLabels(mask, mmToPx, whole)];
	const { width } = sizeOfWindow(whole);
	let most = -1;
	let worst: FieldWindow = { xMm: 0, yMm: 0, widthMm: SIDE_MM, heightMm: SIDE_MM, pxPerMm: PX_PER_MM };
	for (let yMm = 0; yMm <= heightMm - SIDE_MM; yMm += STEP_MM) {
		for (let xMm = 0; xMm <= widthMm - SIDE_MM; xMm += STEP_MM) {
			let wrong = 0;
			for (let row = yMm * SEARCH_PX_PER_MM; row < (yMm + SIDE_MM) * SEARCH_PX_PER_MM; row++) {
				const at = row * width + xMm * SEARCH_PX_PER_MM;
				for (let i = at; i < at + SIDE_MM * SEARCH_PX_PER_MM; i++) if (ours[i] !== theirs[i]) wrong++;
			}
			if (wrong <= most) continue;
			most = wrong;
			worst = { ...worst, xMm, yMm };
		}
	}
	return worst;
}

/** Bare surface white, not decided black, classes as everywhere. */
function inColours(codes: Uint8Array): Uint8Array {
	const colours = new Map<number, string>([
		[BACKGROUND, '#FFFFFF'],
		[UNJUDGED, '#000000'],
		...MATERIAL_CLASSES.map((name) => [CLASS_CODE[name], CLASS_STYLES[name].colour] as const),
	]);
	const rgb = new Uint8Array(3 * codes.length);
	for (const [i, code] of codes.entries())
		rgb.set(
			[1, 3, 5].map((at) => Number.parseInt(colours.get(code)!.slice(at, at + 2), 16)),
			3 * i,
		);
	return rgb;
}

function sideBySide(squares: readonly Uint8Array[]): Promise<Buffer> {
	const side = SIDE_MM * PX_PER_MM;
	const width = squares.length * (side + GAP_PX) - GAP_PX;
	const layers = squares.map((data, k) => ({
		input: Buffer.from(data),
		raw: { width: side, height: side, channels: 3 as const },
		left: k * (side + GAP_PX),
		top: 0,
	}));
	return sharp({ create: { width, height: side, channels: 4, background: { r: 0, g: 0, b: 0, alpha: 0 } } })
		.composite(layers)
		.webp({ lossless: true, effort: 6 })
		.toBuffer();
}
