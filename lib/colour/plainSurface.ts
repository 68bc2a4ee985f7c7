import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';
import { medianOf } from '@/lib/quantity/moments';
import { traySpots } from './bareSpots';
import { cielabOf } from './cielab';
import { type Falloff, fitFalloff } from './falloff';
import type { Gains } from './fitGreys';

/** What a plain tray's own colour tells about the light. */
export interface PlainSurfaceLight {
	readonly gains: Gains;
	readonly falloff?: Falloff;
}

/**
 * How far from neutral, in CIELAB a and b as shot, a surface may look and still be believed to be neutral under a tinted
 * lamp. White balance leaves a tenth to a fifth of a lamp's tint: yellowish under incandescent-like light, hardly bluish,
 * never far to green or red. A coloured tray shows more. Chosen by eye, bounded by tests/colour/plainSurface.test.ts.
 */
const LAMP_TINT = { redGreen: 8, yellow: 16, blue: 8 } as const;

/** The commonest hue must fill this share of the field to be the floor's rather than the pieces'. */
const LEAST_SHARE = 0.25;

/** Cell of the search for the commonest hue: log ratios of red and blue to green. */
const HUE_CELL = 0.05;

/** Cell of the search for the floor's brightness, log light. */
const BRIGHTNESS_CELL = 0.15;

/** How close to the fitted light a bare floor spot lies, log light: a floor is rougher and more scratched than paper. */
const FLOOR_WITHIN = 0.12;

/**
 * The light is followed across the floor only if the floor is even: this share of all spots on one smooth surface. Bare steel
 * mirrors the room and stays far below. Chosen by eye, bounded by tests/colour/plainSurface.test.ts.
 */
const EVEN_SHARE = 0.25;

/**
 * Light from a tray's own colour, where that is neutral: gains that make it grey at unchanged luminance, since a tray's
 * reflectance is not known.
 *
 * The surface's colour is the commonest colour in the field. Its fall-off is followed only if it is even, as painted and
 * plastic trays are and bare steel is not.
 *
 * @returns undefined where no colour stands out or it is not neutral
 */
export function plainSurfaceLight(raster: Raster, surface: Surface): PlainSurfaceLight | undefined {
	const spots = traySpots(raster, surface);
	const { log } = spots;
	const every = Array.from({ length: spots.count }, (_, i) => i);
	const alike = commonest(every, (i) => {
		const green = log[3 * i + 1]!;
		return [(log[3 * i]! - green) / HUE_CELL, (log[3 * i + 2]! - green) / HUE_CELL];
	});
	if (alike.length === 0 || alike.length < LEAST_SHARE * spots.count) return undefined;
	const [r, g, b] = [0, 1, 2].map((c) => Math.exp(medianOf(alike.map((i) => log[3 * i + c]!)))) as [
		number,
		number,
		number,
	];
	const { a, b: yellow } = cielabOf(r, g, b);
	if (!isLampTint(a, yellow)) return undefined;
	const luminance = 0.2126 * r + 0.7152 * g + 0.0722 * b;
	const gains: Gains = [luminance / r, luminance / g, luminance / b];
	const sure = new Uint8Array(spots.count);
	for (const i of commonest(alike, (spot) => [log[3 * spot + 1]! / BRIGHTNESS_CELL])) sure[i] = 1;
	const fit = fitFalloff(
		{ count: spots.count, xMm: spots.xMm, yMm: spots.yMm, sure, log },
		surface,
		{ x: surface.fieldWidthMm / 2, y: surface.fieldHeightMm / 2 },
		FLOOR_WITHIN,
	);
	return fit && fit.keptShare > EVEN_SHARE ? { gains, falloff: fit.falloff } : { gains };
}

function isLampTint(a: number, b: number): boolean {
	return Math.hypot(a / LAMP_TINT.redGreen, b / (b > 0 ? LAMP_TINT.yellow : LAMP_TINT.blue)) < 1;
}

/** Spots in the fullest cell and its neighbours. */
function commonest(spots: readonly number[], placeOf: (spot: number) => readonly number[]): number[] {
	const cellOf = (spot: number) => placeOf(spot).map(Math.floor);
	const cells = new Map<string, number>();
	for (const spot of spots) {
		const key = cellOf(spot).join();
		cells.set(key, (cells.get(key) ?? 0) + 1);
	}
	const fullest = [...cells.entries()].sort((p, q) => q[1] - p[1])[0]?.[0];
	if (fullest === undefined) return [];
	const middle = fullest.split(',').map(Number);
	return spots.filter((spot) => cellOf(spot).every((v, i) => Math.abs(v - middle[i]!) <= 1));
}
