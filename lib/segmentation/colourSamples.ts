import { cielabOf } from '../colour/cielab';
import { type LabColour, MOST_COLOURS } from '../material/taughtSpot';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { Light } from './light';
import { lightGains, ReflectanceReader } from './reflectanceTiles';

/** A circle on the upright photo, pixels. */
export interface Circle {
	readonly xPx: number;
	readonly yPx: number;
	readonly radiusPx: number;
}

/** A code from here on may be clipped. */
const CLIPPED_CODE = 252;

/**
 * Light-corrected CIELAB colours of the pixels in a circle, at most 64 spread over it; clipped ones left out.
 *
 * @returns none where the circle lies off the photo or all its pixels are clipped
 */
export function coloursInCircle(raster: Raster, surface: Surface, light: Light, circle: Circle): LabColour[] {
	const radius = Math.max(0.75, circle.radiusPx); // the tapped pixel at least
	const columnOffset = Math.max(0, Math.floor(circle.xPx - radius));
	const rowOffset = Math.max(0, Math.floor(circle.yPx - radius));
	const width = Math.min(raster.width, Math.ceil(circle.xPx + radius)) - columnOffset;
	const height = Math.min(raster.height, Math.ceil(circle.yPx + radius)) - rowOffset;
	if (width <= 0 || height <= 0) return [];
	const box = { width, height, columnOffset, rowOffset };
	const reader = new ReflectanceReader(raster, light, box, lightGains(surface, light, box));
	const rgb = new Float64Array(3);
	const colours: LabColour[] = [];
	for (let i = 0; i < width * height; i++) {
		const column = columnOffset + (i % width);
		const row = rowOffset + Math.floor(i / width);
		if (Math.hypot(column + 0.5 - circle.xPx, row + 0.5 - circle.yPx) > radius) continue;
		const at = 3 * (row * raster.width + column);
		if (Math.max(raster.data[at]!, raster.data[at + 1]!, raster.data[at + 2]!) >= CLIPPED_CODE) continue;
		reader.read(i, rgb);
		colours.push(labOf(rgb));
	}
	return thinnedOut(colours, MOST_COLOURS);
}

/** CIELAB in the range and precision that a taught spot keeps. */
function labOf(rgb: Float64Array): LabColour {
	const { L, a, b } = cielabOf(rgb[0]!, rgb[1]!, rgb[2]!);
	return [within(L, -5, 150), within(a, -200, 200), within(b, -200, 200)];
}

function within(value: number, low: number, high: number): number {
	return Math.round(100 * Math.min(high, Math.max(low, value))) / 100;
}

/** At most `most` of the entries, evenly spaced. */
export function thinnedOut<Entry>(entries: readonly Entry[], most: number): Entry[] {
	if (entries.length <= most) return [...entries];
	return Array.from({ length: most }, (_, k) => entries[Math.floor(((k + 0.5) * entries.length) / most)]!); // in range
}
