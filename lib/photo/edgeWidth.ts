import type { Raster } from './raster';
import { luminanceAt } from './srgbCurve';
import type { Surface } from './surface';

/** Half length of the window along the slope in which a step's height is read, pixels. */
const REACH_PX = 8;
/** Steps looked at: the steepest ones, spread over the field in tiles so that one glint does not speak for all. */
const TILES = 16;
/** Samples along the field's box, about: a tile of it then has hundreds, and a finer photo no more than a coarse one. */
const SAMPLES_ACROSS = 450;
/** A step lower than this, in linear light, is noise. */
const LEAST_STEP = 0.08;

/**
 * Sharpness of the field where no printed mark shows it: 10 to 90 % width, in pixels, of the steepest steps of the pieces'
 * own outlines, in linear light.
 *
 * For a blurred step, height over steepest slope equals that width (2.51 against 2.56 standard deviations of a Gaussian
 * blur). Each tile of the field gives its steepest step; the result is their median.
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
	const widths: number[] = [];
	for (let j = 0; j < TILES; j++) {
		const steepest = new SteepestSteps(raster);
		const past = Math.round(top + ((bottom - top) * (j + 1)) / TILES);
		// all tiles of a line together: the photo is read row by row
		for (let row = Math.round(top + ((bottom - top) * j) / TILES); row < past; row += pitch)
			steepest.look(row, columns, pitch);
		for (let i = 0; i < TILES; i++) {
			const width = steepest.widthOf(i);
			if (width !== undefined) widths.push(width);
		}
	}
	if (widths.length < TILES) return undefined;
	widths.sort((a, b) => a - b);
	return widths[widths.length >> 1];
}

/** The steepest step along a row or a column of each tile of a line. */
class SteepestSteps {
	private readonly data: Uint8Array;
	private readonly rowBytes: number;
	private readonly slope = new Float64Array(TILES);
	/** Where it is, and from there to the next pixel along it, bytes. */
	private readonly at = new Int32Array(TILES);
	private readonly stride = new Int32Array(TILES);
	constructor(raster: Raster) {
		this.data = raster.data;
		this.rowBytes = 3 * raster.width;
	}
	/** Look at samples of one row. @param columns - where tiles begin, and where the last ends */
	look(row: number, columns: Int32Array, pitch: number): void {
		for (let i = 0; i < TILES; i++) {
			const start = row * this.rowBytes;
			this.lookAt(i, start + 3 * columns[i]!, start + 3 * columns[i + 1]!, 3 * pitch);
		}
	}
	/** Look at a tile's samples from one byte to another (not included). Hot loop. */
	private lookAt(tile: number, from: number, to: number, step: number): void {
		const { data, rowBytes } = this;
		let slope = this.slope[tile]!;
		for (let here = from; here < to; here += step) {
			const across = Math.abs(luminanceAt(data, here + 3) - luminanceAt(data, here - 3)) / 2;
			const down = Math.abs(luminanceAt(data, here + rowBytes) - luminanceAt(data, here - rowBytes)) / 2;
			if (Math.max(across, down) <= slope) continue;
			slope = Math.max(across, down);
			this.slope[tile] = slope;
			this.at[tile] = here;
			this.stride[tile] = across >= down ? 3 : rowBytes;
		}
	}
	/** Width of a tile's step; undefined where there is none, or none to speak of. */
	widthOf(tile: number): number | undefined {
		const [slope, at, stride] = [this.slope[tile]!, this.at[tile]!, this.stride[tile]!];
		if (slope === 0) return undefined;
		const sign = Math.sign(luminanceAt(this.data, at + stride) - luminanceAt(this.data, at - stride));
		const height = Math.abs(this.levelAlong(at, stride, sign) - this.levelAlong(at, -stride, -sign));
		return height < LEAST_STEP ? undefined : height / slope;
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
