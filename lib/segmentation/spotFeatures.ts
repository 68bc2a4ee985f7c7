import { MOST_BESIDE, MOST_FEATURES, type TaughtSpot } from '../material/taughtSpot';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { DEFAULT_SEED, seededRandom } from '../quantity/seededRandom';
import { thinnedOut } from './colourSamples';
import type { Light } from './light';
import type { PixelModel } from './pixelModel';
import { seenRows } from './seenRows';

/** What the network sees around a pixel, at its own scale. */
const REACH = 48;
/** The network halves the picture three times. */
const SIZE_STEP = 8;
/** Features are kept to this many digits: what half-precision weights leave. */
const DIGITS = 4;

/**
 * Fill in what the model's last layer sees at a spot and about it: a window around it is run through the network.
 *
 * @param spot - on this very photo; its circle in pixels of it
 */
export async function withFeatures(
	model: PixelModel,
	raster: Raster,
	surface: Surface,
	light: Light,
	spot: TaughtSpot,
): Promise<TaughtSpot> {
	const scale = model.scalePxPerMm / surface.pxPerMm;
	const reach = spot.radiusPx + REACH / scale;
	const columnOffset = Math.max(0, Math.floor(spot.xPx - reach));
	const rowOffset = Math.max(0, Math.floor(spot.yPx - reach));
	const width = Math.min(raster.width, Math.ceil(spot.xPx + reach)) - columnOffset;
	const height = Math.min(raster.height, Math.ceil(spot.yPx + reach)) - rowOffset;
	if (width <= 0 || height <= 0) return spot;
	const columns = Math.max(1, Math.round(width * scale));
	const rows = Math.max(1, Math.round(height * scale));
	const window = { width: upTo(columns), height: upTo(rows) };
	const box = { width, height, columnOffset, rowOffset };
	const out = await model.features(seenRows(raster, surface, light, box, { columns, rows, ...window }));
	const many = out.length / (window.width * window.height);
	const [x, y] = [((spot.xPx - columnOffset) * columns) / width, ((spot.yPx - rowOffset) * rows) / height];
	const radius = Math.max(0.75, spot.radiusPx * scale);
	const seenAt = ([column, row]: readonly [number, number]) => {
		const at = (row * window.width + column) * many;
		return Array.from(out.subarray(at, at + many), (value) => Number(value.toPrecision(DIGITS)));
	};
	const features = thinnedOut(pixelsIn(x, y, radius, columns, rows), MOST_FEATURES).map(seenAt);
	const beside = placesAbout(spot, columns, rows).filter(
		([column, row]) => Math.hypot(column - x, row - y) > 2 * radius,
	);
	return { ...spot, features, beside: beside.map(seenAt) };
}

function upTo(size: number): number {
	return Math.ceil(size / SIZE_STEP) * SIZE_STEP;
}

/** Pixels drawn from a spot's window, alike for the same spot. */
function placesAbout({ id }: TaughtSpot, columns: number, rows: number): readonly (readonly [number, number])[] {
	const random = seededRandom(DEFAULT_SEED, 'beside', id);
	const below = (count: number) => Math.floor(random.uniform() * count);
	return Array.from({ length: MOST_BESIDE }, () => [below(columns), below(rows)] as const);
}

/** Pixels whose centres lie in a circle, row by row. */
function pixelsIn(x: number, y: number, radius: number, columns: number, rows: number): [number, number][] {
	const found: [number, number][] = [];
	for (let row = Math.max(0, Math.floor(y - radius)); row < Math.min(rows, y + radius); row++) {
		for (let column = Math.max(0, Math.floor(x - radius)); column < Math.min(columns, x + radius); column++) {
			if (Math.hypot(column + 0.5 - x, row + 0.5 - y) <= radius) found.push([column, row]);
		}
	}
	return found;
}
