import type { Raster } from '../photo/raster';
import { type Kernels, kernelsOf } from './kernelMemory';
import type { Light } from './light';
import { addStretches, STRETCH, SUM_BYTES } from './meanColourCode';

/** Sums of light-corrected colours by slot, row by row. */
export interface RowSums {
	/** What follows is of a row that begins at place `base` of the labels and byte `at` of the photo. */
	begin(labels: Uint8Array, thin: Uint8Array, base: number, width: number, at: number): void;
	/** Add so many pixels of one square of light from a column on, without those that have a piece above or below. */
	addBare(slot: number, square: number, column: number, pixels: number): void;
	/** The same of a metal, without thin parts. */
	addMetal(slot: number, square: number, column: number, pixels: number): void;
	end(): void;
	all(): { readonly count: Uint32Array; readonly sum: Float64Array };
}

/** Begin with nothing in so many slots. @param gain - of each square of light, three numbers */
export function colourSums(slots: number, raster: Raster, light: Light, gain: Float32Array): RowSums {
	return sumsByKernel(slots, raster, light, gain) ?? sumsSlowly(slots, raster, light, gain);
}

interface SumFunctions {
	addStretches(stretches: number, count: number, tables: number): void;
}

const sumKernels = kernelsOf<SumFunctions>([addStretches]);

/** Sums in the kernels; undefined without SIMD. */
export function sumsByKernel(slots: number, raster: Raster, light: Light, gain: Float32Array): RowSums | undefined {
	const row = 16 * Math.ceil(raster.width / 16);
	let bytes = 0;
	const space = (size: number) => {
		const at = bytes;
		bytes += 16 * Math.ceil(size / 16);
		return at;
	};
	const at: Places = {
		sums: space(SUM_BYTES * slots),
		gains: space(4 * gain.length),
		tables: space(3 * 4 * 256),
		labels: space(3 * row),
		thin: space(row),
		photo: space(3 * row),
		stretches: space(4 * STRETCH * row),
	};
	const kernels = sumKernels(bytes);
	if (kernels === undefined) return undefined;
	kernels.bytes.fill(0, at.sums, at.gains);
	const floats = new Float32Array(kernels.bytes.buffer);
	floats.set(gain, at.gains / 4);
	for (const [c, table] of light.tables.entries()) floats.set(table, at.tables / 4 + 256 * c);
	return new KernelSums(kernels, raster.data, at, slots);
}

/** Where things stand in the kernels' memory. */
interface Places {
	readonly sums: number;
	readonly gains: number;
	readonly tables: number;
	readonly labels: number;
	readonly thin: number;
	readonly photo: number;
	readonly stretches: number;
}

class KernelSums implements RowSums {
	private readonly words: Int32Array;
	private next: number;
	private width = 0;
	constructor(
		private readonly kernels: Kernels<SumFunctions>,
		private readonly data: Uint8Array,
		private readonly at: Places,
		private readonly slots: number,
	) {
		this.words = new Int32Array(kernels.bytes.buffer);
		this.next = at.stretches / 4;
	}
	begin(labels: Uint8Array, thin: Uint8Array, base: number, width: number, byte: number): void {
		const { bytes } = this.kernels;
		bytes.set(labels.subarray(base - width, base + 2 * width), this.at.labels);
		bytes.set(thin.subarray(base, base + width), this.at.thin);
		bytes.set(this.data.subarray(byte, byte + 3 * width), this.at.photo);
		this.width = width;
		this.next = this.at.stretches / 4;
	}
	addBare(slot: number, square: number, column: number, pixels: number): void {
		const above = this.at.labels + column;
		this.add(slot, square, above, above + 2 * this.width, column, pixels);
	}
	addMetal(slot: number, square: number, column: number, pixels: number): void {
		const own = this.at.thin + column;
		this.add(slot, square, own, own, column, pixels);
	}
	private add(slot: number, square: number, one: number, other: number, column: number, pixels: number): void {
		const { words, at, next } = this;
		words[next] = at.sums + SUM_BYTES * slot;
		words[next + 1] = at.gains + 12 * square;
		words[next + 2] = one;
		words[next + 3] = other;
		words[next + 4] = at.photo + 3 * column;
		words[next + 5] = pixels;
		this.next = next + STRETCH;
	}
	end(): void {
		const { stretches, tables } = this.at;
		const count = (this.next - stretches / 4) / STRETCH;
		if (count > 0) this.kernels.addStretches(stretches, count, tables);
	}
	all(): { readonly count: Uint32Array; readonly sum: Float64Array } {
		const { slots, at } = this;
		const [count, sum] = [new Uint32Array(slots), new Float64Array(3 * slots)];
		const numbers = new Float64Array(this.kernels.bytes.buffer);
		for (let slot = 0, from = at.sums; slot < slots; slot++, from += SUM_BYTES) {
			for (let c = 0; c < 3; c++) sum[3 * slot + c] = numbers[from / 8 + c]!;
			count[slot] = this.words[from / 4 + 6]!;
		}
		return { count, sum };
	}
}

/** The same pixel by pixel, where WebAssembly has no SIMD. */
export function sumsSlowly(slots: number, raster: Raster, light: Light, gain: Float32Array): RowSums {
	return new SlowSums(slots, raster, light, gain);
}

class SlowSums implements RowSums {
	private readonly count: Uint32Array;
	private readonly sum: Float64Array;
	private readonly data: Uint8Array;
	private labels: Uint8Array = new Uint8Array();
	private thin: Uint8Array = new Uint8Array();
	private base = 0;
	private width = 0;
	private byte = 0;
	constructor(
		slots: number,
		raster: Raster,
		private readonly light: Light,
		private readonly gain: Float32Array,
	) {
		this.data = raster.data;
		this.count = new Uint32Array(slots);
		this.sum = new Float64Array(3 * slots);
	}
	begin(labels: Uint8Array, thin: Uint8Array, base: number, width: number, byte: number): void {
		[this.labels, this.thin, this.base, this.width, this.byte] = [labels, thin, base, width, byte];
	}
	addBare(slot: number, square: number, column: number, pixels: number): void {
		const above = this.base - this.width + column;
		this.add(slot, square, this.labels, above, above + 2 * this.width, column, pixels);
	}
	addMetal(slot: number, square: number, column: number, pixels: number): void {
		this.add(slot, square, this.thin, this.base + column, this.base + column, column, pixels);
	}
	private add(
		slot: number,
		square: number,
		left: Uint8Array,
		one: number,
		other: number,
		column: number,
		pixels: number,
	): void {
		const { data, gain, light, sum } = this;
		const rgb = [0, 0, 0];
		for (let i = 0; i < pixels; i++) {
			if ((left[one + i]! | left[other + i]!) !== 0) continue;
			for (let c = 0; c < 3; c++) rgb[c]! += light.tables[c as 0 | 1 | 2][data[this.byte + 3 * (column + i) + c]!]!;
			this.count[slot]! += 1;
		}
		for (let c = 0; c < 3; c++) sum[3 * slot + c]! += rgb[c]! * gain[3 * square + c]!;
	}
	end(): void {}
	all(): { readonly count: Uint32Array; readonly sum: Float64Array } {
		return { count: this.count, sum: this.sum };
	}
}
