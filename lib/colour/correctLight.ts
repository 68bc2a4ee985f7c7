import { applyHomography } from '@/lib/photo/homography';
import type { PhotoWarning } from '@/lib/photo/photoWarning';
import type { PointPx, Raster } from '@/lib/photo/raster';
import { LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import type { Surface } from '@/lib/photo/surface';
import { matSpots, straightened } from './bareSpots';
import { type Falloff, fitFalloff, lightAt } from './falloff';
import { fitGreys, type Gains, type GreyFit } from './fitGreys';
import { type GreyReading, matGreyPlaces, readGreys } from './greyPatches';
import { plainSurfaceLight } from './plainSurface';
import { STRAIGHT, type Tone, unbend } from './tone';

/** What turns the photo's codes into reflectance: table per channel, then division by the light's fall-off. */
export interface LightCorrection {
	/** What the correction rests on: printed neutrals, the surface's own colour, or nothing. */
	readonly source: 'patches' | 'surface' | 'none';
	/** Factors on linear light per channel, after the tone curve is undone. */
	readonly gains: Gains;
	readonly tone: Tone;
	/** Absent where the light could not be followed across the field. */
	readonly falloff?: Falloff;
	/** With `patches`: mean CIEDE2000 of neutrals predicted from the others. Undefined without a reference. */
	readonly residual?: number;
	/** Corrected linear light of each of the 256 codes, per channel, at the place where the fall-off is 1. */
	readonly tables: readonly [Float32Array, Float32Array, Float32Array];
	readonly warnings: readonly PhotoWarning[];
}

/** Rounds in which neutrals are read through the fall-off and the fall-off through the tone curve. */
const ROUNDS = 3;

/**
 * Light correction of one photo: from the mat's printed neutrals and its bare paper, or from a plain tray's own colour where
 * that is neutral; left alone with a warning otherwise.
 *
 * Corrected values are linear reflectance, 1 per channel for a perfect white (on a plain tray only relative to the exposure).
 * Limit: one light per photo, varying smoothly; hard shadows stay in.
 */
export function correctLight(raster: Raster, surface: Surface): LightCorrection {
	if (surface.kind === 'tray') return fromPlainSurface(raster, surface);
	return fromMat(raster, surface) ?? unreferenced([NO_PATCHES]);
}

function fromMat(raster: Raster, surface: Surface): LightCorrection | undefined {
	const raw = readGreys(raster, matGreyPlaces(surface));
	let fit = fitGreys(raw);
	if (!fit) return undefined;
	let falloff: Falloff | undefined;
	const read = matSpots(raster, surface);
	for (let round = 0; round < ROUNDS; round++) {
		const { tone } = fit;
		const spots = straightened(read, tone);
		falloff = fitFalloff(spots, surface, centreMm(raw, surface))?.falloff;
		if (!falloff) break;
		const next: GreyFit = fitGreys(raw, weightsOf(raw, surface, falloff)) ?? fit;
		fit = next;
		if (next.tone.contrast === tone.contrast && next.tone.knee === tone.knee) break;
	}
	return correction('patches', fit, falloff, falloff ? [] : [NO_FALLOFF]);
}

function fromPlainSurface(raster: Raster, surface: Surface): LightCorrection {
	const light = plainSurfaceLight(raster, surface);
	if (!light) return unreferenced([UNREFERENCED]);
	return correction('surface', { gains: light.gains, tone: STRAIGHT }, light.falloff, [FROM_SURFACE]);
}

function unreferenced(warnings: readonly PhotoWarning[]): LightCorrection {
	return correction('none', { gains: [1, 1, 1], tone: STRAIGHT }, undefined, warnings);
}

/** Put together property by property, as surfaces are (photo/surface.ts). */
function correction(
	source: LightCorrection['source'],
	{ gains, tone, residual }: Pick<LightCorrection, 'gains' | 'tone' | 'residual'>,
	falloff: Falloff | undefined,
	warnings: readonly PhotoWarning[],
): LightCorrection {
	const straight = new Float64Array(LINEAR_OF_CODE.length);
	for (let code = 0; code < straight.length; code++) straight[code] = unbend(LINEAR_OF_CODE[code]!, tone);
	const [r, g, b] = gains;
	const made: { -readonly [Part in keyof LightCorrection]: LightCorrection[Part] } = {
		source,
		gains,
		tone,
		tables: [times(r, straight), times(g, straight), times(b, straight)],
		warnings,
	};
	if (falloff !== undefined) made.falloff = falloff;
	if (residual !== undefined) made.residual = residual;
	return made;
}

function times(gain: number, levels: Float64Array): Float32Array {
	const table = new Float32Array(levels.length);
	for (let code = 0; code < table.length; code++) table[code] = gain * levels[code]!;
	return table;
}

/** Light at each neutral relative to where the fall-off is 1. */
function weightsOf(
	greys: readonly GreyReading[],
	surface: Surface,
	falloff: Falloff,
): (readonly [number, number, number])[] {
	return greys.map(({ atPx }) => {
		const { x, y } = applyHomography(surface.pxToMm, atPx.x, atPx.y);
		return lightAt(falloff, x, y);
	});
}

function centreMm(greys: readonly GreyReading[], surface: Surface): PointPx {
	const middle = greys.map(({ atPx }) => applyHomography(surface.pxToMm, atPx.x, atPx.y));
	return {
		x: middle.reduce((s, p) => s + p.x, 0) / middle.length,
		y: middle.reduce((s, p) => s + p.y, 0) / middle.length,
	};
}

const NO_PATCHES: PhotoWarning = {
	code: 'colour-unreferenced',
	message:
		'None of the grey patches can be read (covered, clipped or too dark), so colours are taken as the camera gave them. Keep the patches clear and expose so that the paper is not pure white. Metals and insulation may be confused.',
};

const NO_FALLOFF: PhotoWarning = {
	code: 'light-not-followed',
	message:
		'Too little bare paper is to be seen to follow the light across the mat. Leave the margins free and avoid glare on the paper. Pieces far from the grey patches may look too light or too dark.',
};

const FROM_SURFACE: PhotoWarning = {
	code: 'colour-from-surface',
	message:
		"There are no grey patches, so the light's colour was estimated from the surface, taken as neutral grey. Use the printed mat for better colours. The range is wider for it.",
};

const UNREFERENCED: PhotoWarning = {
	code: 'colour-unreferenced',
	message:
		'There are no grey patches and the surface is not a plain neutral grey, so colours are taken as the camera gave them. Use the printed mat or a white or grey tray. Metals and insulation may be confused, more so under warm lamps.',
};
