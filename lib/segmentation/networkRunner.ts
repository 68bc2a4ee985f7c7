import { type Band, type Plane, type Scratch, TILES_AT_ONCE } from './networkMemory';
import type { Step } from './networkSteps';
import type { Packed, PackedLayer } from './networkWeights';
import { shortName } from './shortKernels';
import type { Kernels, MultiplyShort } from './simdKernels';

/** Numbers of a row of pixels: those of pixel `column` from `at + column * pixelStep` on. */
export interface PixelRow {
	readonly values: Float32Array;
	readonly at: number;
	readonly pixelStep: number;
	readonly channels: number;
}

/** What stands for "no lower limit" after a layer without a ramp. */
const NO_FLOOR = Number.NEGATIVE_INFINITY;
/** The kernels of a network with products of rows of 16-bit numbers. */
export type NetworkKernels = Kernels & Record<string, MultiplyShort>;

/** Writes rows of single layers. */
export class Runner {
	constructor(
		private readonly kernels: NetworkKernels,
		private readonly floats: Float32Array,
		private readonly scratch: Scratch,
		private readonly packed: Pick<Packed, 'layers' | 'zeros'>,
	) {}

	rowOf({ band }: Plane, row: number): PixelRow {
		const { pixelStep, channels } = band;
		return { values: this.floats, at: band.rowAt(row) / 4, pixelStep: pixelStep / 4, channels };
	}

	/** The next rows of a step. */
	write(step: Step, rows: number): void {
		const { from, to } = step;
		const [first] = from;
		if (first === undefined) throw new RangeError('a layer reads a plane');
		if (step.kind === 'convolve') this.convolve(step, this.kernels.fromTiles);
		else if (step.kind === 'convolveOnto') this.convolve(step, this.kernels.fromTilesOnto);
		else if (step.kind === 'halve') this.halve(step.name, first.band, to);
		else if (step.kind === 'mix') this.mix(step.name, first.band, to);
		else if (step.kind === 'widen') this.widen(first.band, to, this.kernels.widen);
		else this.widen(first.band, to, this.kernels.widenOnto);
		this.finish(to.band, to.done, to.done + rows);
	}

	/** A row of tiles of 3 x 3, zeros beyond the rim, then the ramp. */
	private convolve({ name, from, to }: Step, finish: Kernels['fromTiles']): void {
		const layer = this.layer(name);
		const { outputs, scales } = layer;
		const { band } = to;
		const across = Math.ceil(band.width / 4);
		const productStep = 4 * TILES_AT_ONCE * outputs;
		for (let first = 0; first < across; first += TILES_AT_ONCE) {
			const tiles = Math.min(TILES_AT_ONCE, across - first);
			if (scales === undefined) this.multiplyTiles(layer, from, to.done, first, tiles);
			else this.multiplyShortTiles(layer, scales, from, to.done, first, tiles);
			const into = band.rowAt(to.done) + 4 * first * band.pixelStep;
			const { products } = this.scratch;
			finish(products, productStep, into, band.pixelStep, band.rowStep, tiles, outputs / 4, layer.bias, 0);
		}
	}

	private multiplyTiles(
		{ inputs, outputs, weights }: PackedLayer,
		[from]: readonly Plane[],
		row: number,
		first: number,
		tiles: number,
	): void {
		const { spread, products } = this.scratch;
		const step = 4 * TILES_AT_ONCE * inputs;
		const { pixelStep, rowStep } = from!.band;
		this.kernels.toTiles(corner(from!.band, row, first), pixelStep, rowStep, spread, step, tiles, inputs / 4);
		for (let plane = 0; plane < 36; plane++)
			this.kernels.multiply(
				spread + plane * step,
				4 * inputs,
				weights + 4 * plane * inputs * outputs,
				this.packed.zeros,
				products + 4 * plane * TILES_AT_ONCE * outputs,
				4 * outputs,
				Math.ceil(tiles / 4),
				outputs,
				inputs / 4,
				NO_FLOOR,
			);
	}

	private multiplyShortTiles(
		{ inputs, outputs, weights }: PackedLayer,
		scales: number,
		from: readonly Plane[],
		row: number,
		first: number,
		tiles: number,
	): void {
		const { spread, short, scales: rowScales, products } = this.scratch;
		// one tile at a time, so that its 36 rows are still in the first cache when they are shortened
		for (let tile = 0; tile < tiles; tile++) {
			let beside = spread;
			for (const { band } of from) {
				const at = corner(band, row, first + tile);
				this.kernels.toTiles(at, band.pixelStep, band.rowStep, beside, 4 * inputs, 1, band.channels / 4);
				beside += band.pixelStep;
			}
			const [to, scale] = [short + 2 * tile * inputs, rowScales + 4 * tile];
			this.kernels.shorten(
				spread,
				4 * inputs,
				to,
				2 * TILES_AT_ONCE * inputs,
				scale,
				4 * TILES_AT_ONCE,
				36,
				inputs / 4,
			);
		}
		const multiply = this.shortOf(inputs, true);
		for (let plane = 0; plane < 36; plane++)
			multiply(
				short + 2 * plane * TILES_AT_ONCE * inputs,
				rowScales + 4 * plane * TILES_AT_ONCE,
				weights + 2 * plane * inputs * outputs,
				scales + 4 * plane * outputs,
				0,
				products + 4 * plane * TILES_AT_ONCE * outputs,
				4 * outputs,
				Math.ceil(tiles / 4),
				outputs,
				0,
			);
	}

	private shortOf(inputs: number, isBare: boolean): MultiplyShort {
		const made = this.kernels[shortName(inputs, isBare)];
		if (made === undefined) throw new RangeError(`no product of rows of ${inputs} numbers was made`);
		return made;
	}

	/** A row of 2 x 2 with a stride of two, then the ramp. */
	private halve(name: string, from: Band, to: Plane): void {
		const layer = this.layer(name);
		const { spread } = this.scratch;
		const pair = from.rowAt(2 * to.done);
		this.kernels.squares(pair, from.pixelStep, from.rowStep, spread, to.band.width, layer.inputs / 16);
		this.multiplyRow(layer, spread, 4 * layer.inputs, to, 0);
	}

	/** A row of 1 x 1, no ramp. */
	private mix(name: string, from: Band, to: Plane): void {
		this.multiplyRow(this.layer(name), from.rowAt(to.done), from.pixelStep, to, NO_FLOOR);
	}

	/** One row of results from as many rows of inputs. */
	private multiplyRow(layer: PackedLayer, from: number, step: number, { band, done }: Plane, floor: number): void {
		const { inputs, outputs, weights, bias, scales } = layer;
		const { short, scales: rowScales } = this.scratch;
		const into = band.rowAt(done);
		const fours = Math.ceil(band.width / 4);
		if (scales === undefined)
			this.kernels.multiply(from, step, weights, bias, into, band.pixelStep, fours, outputs, inputs / 4, floor);
		else {
			this.kernels.shorten(from, step, short, 2 * inputs, rowScales, 4, band.width, inputs / 4);
			const multiply = this.shortOf(inputs, false);
			multiply(short, rowScales, weights, scales, bias, into, band.pixelStep, fours, outputs, floor);
		}
	}

	/** A row of each pixel twice, from the row at half the height. */
	private widen(from: Band, { band, done }: Plane, kernel: Kernels['widen']): void {
		kernel(from.rowAt(done >> 1), from.pixelStep, band.rowAt(done), band.pixelStep, from.width, from.channels / 4);
	}

	private layer(name: string): PackedLayer {
		const layer = this.packed.layers.get(name);
		if (layer === undefined) throw new RangeError(`the network has no layer ${name}`);
		return layer;
	}

	/** After rows are written: zeros where layers wrote beyond the picture, since they write in fours, and the seam's repeats. */
	finish(band: Band, first: number, end: number): void {
		const { width, height, rowStep, pixelStep } = band;
		const beyond = 4 * Math.ceil(width / 4) - width;
		const isLast = end === height;
		const last = isLast ? 4 * Math.ceil(height / 4) + 1 : end;
		for (let row = first; row < last; row++) {
			const at = band.rowAt(row);
			if (row >= height) this.floats.fill(0, (at - pixelStep) / 4, (at - pixelStep + rowStep) / 4);
			else if (beyond > 0) this.floats.fill(0, (at + width * pixelStep) / 4, (at + (width + beyond) * pixelStep) / 4);
			const place = row % band.rows;
			if (place === 0) this.copyRow(band, at, band.at + band.rows * rowStep);
			if (place === band.rows - 1) this.copyRow(band, at, band.at - rowStep);
		}
	}

	private copyRow({ rowStep, pixelStep }: Band, from: number, to: number): void {
		const start = (from - pixelStep) / 4;
		this.floats.copyWithin((to - pixelStep) / 4, start, start + rowStep / 4);
	}

	/** Zeros above the picture and at both its sides. */
	clearRim({ at, rows, rowStep, pixelStep, width }: Band): void {
		const [start, row, pixel] = [at / 4, rowStep / 4, pixelStep / 4];
		this.floats.fill(0, start - row - pixel, start - pixel);
		for (let y = 0; y <= rows; y++) {
			const line = start + y * row;
			this.floats.fill(0, line - pixel, line);
			this.floats.fill(0, line + width * pixel, line + row - pixel);
		}
	}
}

/** Address of the corner of what a tile sees: one row up and one column to the left. */
function corner(band: Band, row: number, tile: number): number {
	return band.rowAt(row) - band.rowStep + (4 * tile - 1) * band.pixelStep;
}
