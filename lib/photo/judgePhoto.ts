import { TrayError } from '../errors/TrayError';
import { edgeWidthOfField } from './edgeWidth';
import { type FieldExposure, fieldExposure } from './fieldExposure';
import type { MatFound } from './findMat';
import { paperGrain } from './paperGrain';
import type { PhotoWarning } from './photoWarning';
import type { Raster } from './raster';
import type { ShadeSeen } from './sideShade';
import type { Surface } from './surface';

/** What a photo is judged by. */
export interface PhotoToJudge {
	readonly raster: Raster;
	readonly surface: Surface;
	/** The mat, where the surface is one. */
	readonly mat?: MatFound;
	/** Finest strand whose metal matters, mm. */
	readonly finestStrandMm: number;
	/** Of the light correction: how far neutrals stay from their known colour, mean CIEDE2000. */
	readonly colourResidual?: number;
	/** Pixels of the photo to one of the raster, along a line, where the raster is a smaller copy; 1 when left out. */
	readonly reducedBy?: number;
	/** What the pieces' shades tell of the light. */
	readonly shades?: ShadeSeen | undefined;
	/** Step width in pixels of the photo itself, where it was measured apart from a smaller copy. */
	readonly edgeWidthPx?: number;
}

/** What was measured on a photo, for the screen beside the warnings. */
export interface PhotoMeasures extends FieldExposure {
	readonly pxPerMm: number;
	readonly tiltDeg?: number;
	/** 10 to 90 % width of the sharpest steps, pixels. */
	readonly edgeWidthPx?: number;
	/** By how much the colour of the mat's paper differs close by, a share of its light. */
	readonly grain?: number;
}

/**
 * Limits beyond which a photo is warned about. All chosen by eye on what they do to the result, unless a source stands
 * beside them; bounded by tests/photo/judgePhoto.test.ts (a good photo is not warned about, a spoilt one is).
 */
export const LIMITS = {
	/** Blur in pixels: twice a sharp phone photo's step. Finer blur is the camera's own. */
	edgeWidthPx: 4,
	/** Blur on the mat, mm: about the width of a common strand. */
	edgeWidthMm: 0.3,
	/** Share of the field that is burnt out as a patch. */
	glareShare: 0.003,
	/** Share of the field that is burnt out at all: wires sparkle on a few thousandths. */
	clippedShare: 0.05,
	/** Linear luminance of the brightest hundredth of the field; below, noise rules the dark pieces. */
	brightLuminance: 0.2,
	/** Pixels across the finest strand: under half a pixel it pulls a pixel's colour less than half way and is lost. */
	pxPerStrand: 0.5,
	/** Past this tilt a piece 1 mm high is displaced by half a millimetre (tangent), and near and far scale differ by a tenth. */
	tiltDeg: 25,
	/**
	 * A field's size that fits its corners so badly, either way. A camera of twice the focal length assumed, tilted as far as is not warned
	 * about, makes 1.24 of one that fits: the columns of K^-1 H are then as 1 to the root of cos^2 + 4 sin^2 of the tilt.
	 */
	stretch: 1.25,
	/** Share by which the colour of bare paper differs close by. A sharp phone photo in good light has 0.03 at most. */
	grain: 0.06,
	/**
	 * Deep shade over the pieces' own surface, as of wires lying any way in hard light 57 degrees high. A round wire across light of height e
	 * shades (sqrt(1 + cot^2 e) + cot e - 1) / 2 of its own, one at an angle a as if cot e were sin a times less: 0.22 at 60 degrees, 0.43 at 45.
	 */
	sideShade: 0.25,
	/** Mean CIEDE2000; well-lit phone photos of charts reach 2 to 4. */
	colourResidual: 5,
	/** Root mean square distance of the marks' corners from one plane, mm. */
	flatnessMm: 0.6,
	/** Share of the field outside the picture. */
	cutShare: 0.001,
} as const;

/**
 * Refuse a picture so coarse that even common strands pull no pixel half way to their colour: what is left to see is stones and sleeves.
 *
 * @throws TrayError `photo-unreadable`
 */
export function refuseCoarse({ pxPerMm }: Pick<Surface, 'pxPerMm'>): void {
	if (LIMITS.edgeWidthMm * pxPerMm >= LIMITS.pxPerStrand) return;
	throw new TrayError(
		'photo-unreadable',
		`The picture has only ${pxPerMm.toFixed(1)} pixels per millimetre: even common strands of ${LIMITS.edgeWidthMm} mm are lost in it, so there is no grade.`,
		'Go closer, or send the photo at its full size. On a tray, check its inner size and its corners.',
	);
}

/** Measure a photo's sharpness, exposure, scale and tilt. */
export function measurePhoto(raster: Raster, surface: Surface, mat?: MatFound): PhotoMeasures {
	const edgeWidthPx = edgeWidthOfField(raster, surface) ?? mat?.edgeWidthPx;
	const grain = mat && paperGrain(raster, mat);
	return {
		...fieldExposure(raster, surface),
		pxPerMm: surface.pxPerMm,
		...(grain === undefined ? {} : { grain }),
		...(surface.camera === undefined ? {} : { tiltDeg: surface.camera.tiltDeg }),
		...(edgeWidthPx === undefined ? {} : { edgeWidthPx }),
	};
}

/** Everything about one photo that spoils its numbers; none for a good photo. */
export function judgePhoto(photo: PhotoToJudge): PhotoWarning[] {
	const { raster, surface, mat, finestStrandMm, colourResidual, shades, reducedBy = 1 } = photo;
	const inRaster = measurePhoto(raster, surface, mat);
	// a smaller copy shows no step sharper than its own pixels, so it can't tell how sharp the photo is
	const { edgeWidthPx: ownWidthPx, ...others } = inRaster;
	const edgeWidthPx = photo.edgeWidthPx ?? (reducedBy === 1 ? ownWidthPx : undefined);
	const measured = {
		...others,
		pxPerMm: inRaster.pxPerMm * reducedBy,
		...(edgeWidthPx === undefined ? {} : { edgeWidthPx }),
	};
	return [
		fieldCut(measured),
		blurred(measured),
		burntOut(measured),
		tooDark(measured),
		litFromOneSide(shades?.sideShade),
		grainy(measured),
		tooFewPixels(measured, finestStrandMm),
		tilted(measured),
		mat === undefined ? sizeUnlike(surface) : notFlat(mat),
		colourOff(colourResidual),
	].filter((w) => w !== undefined);
}

function fieldCut({ insideShare }: PhotoMeasures): PhotoWarning | undefined {
	if (1 - insideShare <= LIMITS.cutShare) return undefined;
	return {
		code: 'field-cut',
		message: `${percent(1 - insideShare)} of the field lies outside the picture. Step back until all of it is in view. What is cut off is not counted, so the photo stands only for the rest.`,
	};
}

function blurred({ edgeWidthPx, pxPerMm }: PhotoMeasures): PhotoWarning | undefined {
	if (edgeWidthPx === undefined || edgeWidthPx <= LIMITS.edgeWidthPx) return undefined;
	const widthMm = edgeWidthPx / pxPerMm;
	if (widthMm <= LIMITS.edgeWidthMm) return undefined;
	return {
		code: 'blurred',
		message: `The picture is blurred: edges are ${widthMm.toFixed(1)} mm wide. Tap to focus, hold still or rest the phone, and clean the lens. Strands thinner than that lose their colour and are missed or taken for something else.`,
	};
}

function burntOut({ clippedShare, clippedPatchShare }: PhotoMeasures): PhotoWarning | undefined {
	if (clippedShare > LIMITS.clippedShare) {
		return {
			code: 'too-bright',
			message: `${percent(clippedShare)} of the field is burnt out to pure white. Lower the exposure. Nothing can be told of those places, and the paper's light cannot be followed.`,
		};
	}
	if (clippedPatchShare > LIMITS.glareShare) {
		return {
			code: 'glare',
			message: `A lamp mirrors in ${percent(clippedPatchShare)} of the field. Tilt the phone or move the lamp, dry the sample. Those places are not decided, or may pass for bright metal.`,
		};
	}
	return undefined;
}

function tooDark({ bright }: PhotoMeasures): PhotoWarning | undefined {
	if (bright >= LIMITS.brightLuminance) return undefined;
	return {
		code: 'too-dark',
		message:
			'The picture is too dark: even its brightest parts are. Add light or raise the exposure. Dark insulation and tarnished copper drown in noise and may be confused.',
	};
}

function litFromOneSide(sideShade: number | undefined): PhotoWarning | undefined {
	if (sideShade === undefined || sideShade <= LIMITS.sideShade) return undefined;
	return {
		code: 'side-light',
		message: `Hard light from one side: its deep shade covers ${percent(sideShade)} as much surface as the pieces do. Shade the whole tray from the sun with a board, wait for a cloud, or hang the lamp higher. Copper in the shade is missed, and sunlit insulation or aluminium passes for copper: the true grade can lie outside the range.`,
	};
}

function grainy({ grain }: PhotoMeasures): PhotoWarning | undefined {
	if (grain === undefined || grain <= LIMITS.grain) return undefined;
	return {
		code: 'grainy',
		message: `The picture is grainy: specks of colour change even the bare paper by ${percent(grain)}. Add light and rest the phone, so that it need not amplify. Grain hides what a strand is, so metals are missed, or taken for insulation or for each other.`,
	};
}

function tooFewPixels({ pxPerMm }: PhotoMeasures, finestStrandMm: number): PhotoWarning | undefined {
	if (finestStrandMm * pxPerMm >= LIMITS.pxPerStrand) return undefined;
	return {
		code: 'too-few-pixels',
		message: `The picture has ${pxPerMm.toFixed(1)} pixels per millimetre; strands of ${finestStrandMm} mm need ${Math.ceil(LIMITS.pxPerStrand / finestStrandMm)}. Go closer or use the camera's full size. Finer strands are missed, so copper is read too low.`,
	};
}

function tilted({ tiltDeg }: PhotoMeasures): PhotoWarning | undefined {
	if (tiltDeg === undefined || tiltDeg <= LIMITS.tiltDeg) return undefined;
	return {
		code: 'tilted',
		message: `The camera looks at the surface from ${Math.round(tiltDeg)} degrees off square. Hold the phone level above it. Thick pieces hide what lies behind them and look larger than they are.`,
	};
}

function sizeUnlike({ camera }: Surface): PhotoWarning | undefined {
	if (camera === undefined) return undefined;
	const { stretch } = camera;
	const off = Math.max(stretch, 1 / stretch);
	if (off <= LIMITS.stretch) return undefined;
	return {
		code: 'size-unlike',
		message: `The corners enclose a field ${off.toFixed(1)} times as ${stretch > 1 ? 'wide for its height' : 'high for its width'} as the size given. Width and height may be swapped, or a corner lies wrong: check both. Pieces are measured too long one way and too short the other, and what they weigh is off by that.`,
	};
}

function notFlat({ residualPx, surface }: MatFound): PhotoWarning | undefined {
	const offMm = residualPx / surface.pxPerMm;
	if (offMm <= LIMITS.flatnessMm) return undefined;
	return {
		code: 'mat-not-flat',
		message: `The mat does not lie flat: its marks are ${offMm.toFixed(1)} mm off one plane. Tape it to a board. Sizes are a little wrong where it bulges.`,
	};
}

function colourOff(residual: number | undefined): PhotoWarning | undefined {
	if (residual === undefined || residual <= LIMITS.colourResidual) return undefined;
	return {
		code: 'colour-residual',
		message: `The grey patches stay ${residual.toFixed(1)} colour steps off after correction. Use one kind of light, keep shadows off the patches, switch off filters. Colours are unsure, so metals and insulation may be confused.`,
	};
}

/** A share in words for a sentence: `3 %`, `0.4 %`. */
function percent(share: number): string {
	const value = 100 * share;
	return `${value < 1 ? value.toFixed(1) : Math.round(value)} %`;
}
