import { edgeWidthOfField } from './edgeWidth';
import { findMat, whyNoMat } from './findMat';
import { judgePhoto } from './judgePhoto';
import { cornersOf } from './matGeometry';
import { PaperGround } from './paperGround';
import type { PhotoWarning } from './photoWarning';
import { proposeTrayCorners } from './proposeTrayCorners';
import type { PointPx, Raster } from './raster';
import { lookAtShades } from './sideShade';
import type { Surface } from './surface';
import { surfaceFromCorners } from './tray';

/** What a quick look at a photo says, before it is read in full. Places are shares of the picture's width and height. */
export interface ShotVerdict {
	/** The mat as found: its field and its four marks. */
	readonly mat?: { readonly field: readonly PointPx[]; readonly marks: readonly (readonly PointPx[])[] };
	/** Why no mat was found. */
	readonly noMat?: string;
	/** A tray's four inner corners as its rim suggests them, where no mat is. */
	readonly tray?: readonly PointPx[];
	readonly tiltDeg?: number;
	/** Share of the field that pieces lie on, roughly. */
	readonly coverage?: number;
	/** The one thing to do better; absent for a good picture. */
	readonly advice?: { readonly code: string; readonly message: string };
}

/** A field covered more than this is too dense. The full reading warns from 0.4 on; the quick look takes soft shades for pieces, so it keeps clear of that. */
const DENSE = 0.55;

/**
 * Look at a smaller copy of a photo: is the mat found, is it tilted, blurred, mirrored in, too dense, and what one thing to do
 * better. The full reading judges anew on all pixels.
 *
 * @param reducedBy - pixels of the photo to one of the raster, along a line
 * @param finestStrandMm - finest strand whose metal matters
 * @param piece - the picture's middle at full size, for sharpness; without it only an unreduced raster tells
 * @param neutralsOff - how far printed neutrals stay off once the light is corrected, mean CIEDE2000: a hand's shadow on them shows so
 */
export function judgeShot(
	raster: Raster,
	reducedBy: number,
	finestStrandMm: number,
	piece?: Raster,
	neutralsOff?: (raster: Raster, surface: Surface) => number | undefined,
): ShotVerdict {
	const share = ({ x, y }: PointPx): PointPx => ({ x: x / raster.width, y: y / raster.height });
	const mat = findMat(raster);
	if (!mat.found) {
		const tray = proposeTrayCorners(raster);
		if (tray === undefined) {
			const reason = whyNoMat(raster, mat);
			return {
				noMat: reason,
				advice: spoiltAllOver(raster, reducedBy, piece) ?? { code: 'mat-missing', message: reason },
			};
		}
		const [worst] = judgeTray(raster, tray, reducedBy, piece);
		return { noMat: mat.reason, tray: tray.map(share), ...(worst === undefined ? {} : { advice: worst }) };
	}
	const { surface } = mat;
	const colourResidual = neutralsOff?.(raster, surface);
	const shades = lookAtShades(new PaperGround(raster, surface), surface);
	const [worst] = judgePhoto({
		raster,
		surface,
		mat,
		finestStrandMm,
		reducedBy,
		shades,
		...(colourResidual === undefined ? {} : { colourResidual }),
		...sharpnessOf(piece),
	});
	const coverage = shades?.cover;
	const advice = worst ?? (coverage !== undefined && coverage > DENSE ? TOO_DENSE : undefined);
	return {
		mat: { field: surface.cornersPx.map(share), marks: mat.markers.map(({ outlinePx }) => outlinePx.map(share)) },
		...(surface.camera === undefined ? {} : { tiltDeg: surface.camera.tiltDeg }),
		...(coverage === undefined ? {} : { coverage }),
		...(advice === undefined ? {} : { advice }),
	};
}

/**
 * Why marks can't be seen on a picture wherever they are, and what to do: it is too dark or blurred all over. Said in place of the marks that are
 * missing, which would send one to look for them.
 */
export function spoiltAllOver(raster: Raster, reducedBy = 1, piece?: Raster): PhotoWarning | undefined {
	const whole = judgeTray(raster, wholeOf(raster).cornersPx, reducedBy, piece);
	const spoilt = whole.find(({ code }) => code === 'too-dark' || code === 'blurred');
	return spoilt?.code === 'blurred' ? BLURRED : spoilt;
}

const BLURRED = {
	code: 'blurred',
	message:
		'The whole picture is blurred, so corner marks cannot be told. Tap to focus, hold still or rest the phone, clean the lens, and take it again.',
};

/** What spoils a picture of a plain tray, as far as can be told before its size is known: light and sharpness, not tilt or scale. */
function judgeTray(raster: Raster, corners: readonly PointPx[], reducedBy: number, piece: Raster | undefined) {
	const surface = surfaceFromCorners(corners, COMMON_TRAY_MM.width, COMMON_TRAY_MM.height);
	const judged = judgePhoto({
		raster,
		surface,
		finestStrandMm: COMMON_TRAY_MM.width,
		reducedBy,
		...sharpnessOf(piece),
	});
	return judged.filter(({ code }) => LIGHT_AND_SHARPNESS.has(code));
}

const LIGHT_AND_SHARPNESS: ReadonlySet<string> = new Set(['blurred', 'too-bright', 'glare', 'too-dark']);

/** A tray as kitchens have them, for lengths that need only be of the right order. Common practice, no source. */
const COMMON_TRAY_MM = { width: 250, height: 180 };

function sharpnessOf(piece: Raster | undefined): { readonly edgeWidthPx?: number } {
	const edgeWidthPx = piece && edgeWidthOfField(piece, wholeOf(piece));
	return edgeWidthPx === undefined ? {} : { edgeWidthPx };
}

/** A piece of the picture taken as a field of its own. */
function wholeOf({ width, height }: Raster): Pick<Surface, 'cornersPx'> {
	return { cornersPx: cornersOf({ x: 0, y: 0, width, height }) };
}

const TOO_DENSE = {
	code: 'dense',
	message: 'Pieces lie on each other. Spread a smaller scoop in one layer: what lies below is not seen.',
};
