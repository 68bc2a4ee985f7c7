import { medianOf } from '@/lib/quantity/moments';
import type { Raster } from './raster';
import { luminanceAt } from './srgbCurve';
import type { Surface } from './surface';

/** Half length of the window along the slope in which a step's height is read, pixels. */
const REACH_PX = 8;
/** Steps looked at: the steepest ones, spread over the field in tiles so that one glint does not speak for all. */
const TILES = 16;
/** Samples along the field's box, about: a tile of it then has hundreds, and a finer photo no more than a coarse one. */
const SAMPLES_ACROSS = 450;
/** Directions that steps are looked for in: along rows, columns and both diagonals. */
const DIRECTIONS = 4;
/** Tangent of half of 45 degrees: a step belongs to the nearest direction. */
const TAN_22 = Math.tan(Math.PI / 8);
/** A step lower than this, in linear light, is noise. */
const LEAST_STEP = 0.08;

/**
 * Sharpness of the field where no printed mark shows it: 10 to 90 % width, in pixels, of the steepest steps of the pieces'
 * own outlines, in linear light, in the direction in which they are widest: a hand that moves blurs one direction and leaves the one
 * across it sharp.
 *
 * For a blurred step, height over steepest slope equals that width (2.51 against 2.56 standard deviations of a Gaussian
 * blur). Each tile of the field gives its steepest step in each of four directions; the result is the greatest of their medians.
 *
 * @returns undefined where the field shows hardly any step
 */
export function edgeWidthOfField(raster: Raster, surface: Pick<Surface, 'cornersPx'>): number | undefined {
	const xs = surface.cornersPx.map((p) => p.x);
	const ys = surface.cornersPx.map((p) => p.y);
	const left = Math.max(REACH_PX + 1, Math.min(...xs));
	const right = Math.min(raster.width - REACH_PX - 2, Math.max(...xs));
	const top = Math.max(REACH_PX + 1, Math.min(...ys));
	const bottom = Math.min(raster.height - REACH_PX - 2, Math.max(...ys));
	const pitch = Math.max(2, Math.round((right - left) / SAMPLES_ACROSS));
	const columns = Int32Array.from({ length: TILES + 1 }, (_, i) => Math.round(left + ((right - left) * i) / TILES));
	const widths: number[][] = [[], [], [], []];
	for (let j = 0; j < TILES; j++) {
		const steepest = new SteepestSteps(raster);
		const past = Math.round(top + ((bottom - top) * (j + 1)) / TILES);
		// all tiles of a line together: the photo is read row by row
		for (let row = Math.round(top + ((bottom - top) * j) / TILES); row < past; row += pitch)
			steepest.look(row, columns, pitch);
		for (let i = 0; i < DIRECTIONS * TILES; i++) {
			const width = steepest.widthOf(i);
			if (width !== undefined) widths[i % DIRECTIONS]!.push(width);
		}
	}
	const medians = widths.filter((w) => w.length >= TILES).map(medianOf);
	return medians.length === 0 ? undefined : Math.max(...medians);
}

/** The steepest step of each tile of a line in each direction. */
class SteepestSteps {
	private readonly data: Uint8Array;
	private readonly rowBytes: number;
	/** Squared rise across two pixels. */
	private readonly slope = new Float64Array(DIRECTIONS * TILES);
	/** Where it is, bytes. */
	private readonly at = new Int32Array(DIRECTIONS * TILES);
	/** To the next pixel of a direction, bytes. */
	private readonly strides: readonly number[];
	constructor(raster: Raster) {
		this.data = raster.data;
		this.rowBytes = 3 * raster.width;
		this.strides = [3, this.rowBytes, this.rowBytes + 3, this.rowBytes - 3];
	}
	/** Look at samples of one row. @param columns - where tiles begin, and where the last ends */
	look(row: number, columns: Int32Array, pitch: number): void {
		for (let i = 0; i < TILES; i++) {
			const start = row * this.rowBytes;
			this.lookAt(DIRECTIONS * i, start + 3 * columns[i]!, start + 3 * columns[i + 1]!, 3 * pitch);
		}
	}
	/** Look at a tile's samples from one byte to another (not included). Hot loop. */
	private lookAt(tile: number, from: number, to: number, step: number): void {
		const { data, rowBytes, slope, at } = this;
		// most samples are flatter than the flattest of the four
		let least = leastOf(slope, tile);
		for (let here = from; here < to; here += step) {
			const across = luminanceAt(data, here + 3) - luminanceAt(data, here - 3);
			const down = luminanceAt(data, here + rowBytes) - luminanceAt(data, here - rowBytes);
			const steep = across * across + down * down;
			if (steep <= least) continue;
			const at4 = tile + directionOf(across, down);
			if (steep <= slope[at4]!) continue;
			slope[at4] = steep;
			at[at4] = here;
			least = leastOf(slope, tile);
		}
	}
	/** Width of a step, pixels; undefined where there is none, or none to speak of. @param which - its tile's number times four, and its direction's */
	widthOf(which: number): number | undefined {
		const [at, direction] = [this.at[which]!, which % DIRECTIONS];
		if (this.slope[which] === 0) return undefined;
		const stride = this.strides[direction]!;
		const rise = luminanceAt(this.data, at + stride) - luminanceAt(this.data, at - stride);
		const sign = Math.sign(rise);
		const height = Math.abs(this.levelAlong(at, stride, sign) - this.levelAlong(at, -stride, -sign));
		const pitchPx = direction < 2 ? 1 : Math.SQRT2;
		return height < LEAST_STEP ? undefined : (pitchPx * height) / (Math.abs(rise) / 2);
	}
	/** The light where it no longer goes the same way. */
	private levelAlong(at: number, stride: number, sign: number): number {
		let level = luminanceAt(this.data, at);
		for (let k = 1; k <= REACH_PX; k++) {
			const next = luminanceAt(this.data, at + k * stride);
			if ((next - level) * sign <= 0) break;
			level = next;
		}
		return level;
	}
}

/** The nearest of the four directions to that of a slope. */
function directionOf(across: number, down: number): number {
	const [x, y] = [Math.abs(across), Math.abs(down)];
	if (y < TAN_22 * x) return 0;
	if (x < TAN_22 * y) return 1;
	return across * down > 0 ? 2 : 3;
}

function leastOf(slope: Float64Array, tile: number): number {
	return Math.min(slope[tile]!, slope[tile + 1]!, slope[tile + 2]!, slope[tile + 3]!);
}
