import { LONGEST_COLUMN } from './shortKernels';

/** A convolution as trained: kernel rows x columns x inputs x outputs, row-major, and one bias an output. */
export interface LayerWeights {
	readonly shape: readonly number[];
	readonly kernel: Float32Array;
	readonly bias: Float32Array;
}

/** A layer as the kernels read it; places in bytes from the memory's start. */
export interface PackedLayer {
	readonly weights: number;
	readonly bias: number;
	/** Numbers that make one result: channels, times four for 2 x 2; in fours. */
	readonly inputs: number;
	/** In fours. */
	readonly outputs: number;
	/** Where the outputs' scales lie (36 times as many for 3 x 3), for weights of 16 bits; none for floats. */
	readonly scales: number | undefined;
}

export interface Packed {
	readonly layers: ReadonlyMap<string, PackedLayer>;
	/** What stands at the memory's start. */
	readonly values: Uint8Array;
	readonly bytes: number;
	/** Where as many zeros lie as the widest layer has outputs. */
	readonly zeros: number;
}

/** Largest number of 16 bits. */
const LARGEST = 32767;

/** The layer that reads the picture's three channels. */
const FIRST = 'e0a';
/** These stay floats: the first has next to no inputs, the last must give what a last layer fitted anew gives on the same features. */
const FLOATS = [FIRST, 'classes'];

const fours = (count: number) => 4 * Math.ceil(count / 4);

/** Bring all layers into the order in which the kernels read them. */
export function packLayers(layers: ReadonlyMap<string, LayerWeights>): Packed {
	const pieces: Uint8Array[] = [];
	let bytes = 0;
	const add = ({ buffer }: Float32Array<ArrayBuffer> | Int16Array<ArrayBuffer>) => {
		const at = bytes;
		pieces.push(new Uint8Array(buffer));
		bytes += 16 * Math.ceil(buffer.byteLength / 16);
		return at;
	};
	const packed = new Map<string, PackedLayer>();
	for (const [name, { shape, kernel, bias }] of layers) {
		const [rows = 0, columns = 0, given = 0, results = 0] = shape;
		if (kernel.length !== rows * columns * given * results || bias.length !== results || ![1, 2, 3].includes(rows))
			throw new RangeError(`layer ${name}: a kernel of ${shape.join(' x ')} expected, got ${kernel.length} numbers`);
		if (given % 4 !== 0 && name !== FIRST)
			throw new RangeError(`layer ${name}: ${given} inputs are no multiple of four`);
		const outputs = fours(results);
		const inputs = rows === 2 ? 4 * given : fours(given);
		const matrices = rows === 3 ? tileMatrices(kernel, given, results) : padded(kernel, inputs, results);
		const biases = new Float32Array(outputs);
		biases.set(bias);
		const places = { bias: add(biases), inputs, outputs };
		if (FLOATS.includes(name))
			packed.set(name, { ...places, weights: add(panels(matrices, inputs, outputs)), scales: undefined });
		else {
			const { values, scales } = shortPanels(matrices, inputs, outputs);
			packed.set(name, { ...places, weights: add(values), scales: add(scales) });
		}
	}
	const zeros = add(new Float32Array(Math.max(...Array.from(packed.values(), ({ outputs }) => outputs))));
	const values = new Uint8Array(bytes);
	let at = 0;
	for (const piece of pieces) {
		values.set(piece, at);
		at += 16 * Math.ceil(piece.length / 16);
	}
	return { layers: packed, values, bytes, zeros };
}

/** Place in its matrix of the weight from input `k` to output `n`: panels of eight outputs (a last one of four), each panel by `deep` inputs at a time. */
function placeOf(k: number, n: number, inputs: number, outputs: number, deep: 1 | 2): number {
	const from = n - (n % 8);
	const wide = Math.min(8, outputs - from);
	return from * inputs + (k - (k % deep)) * wide + deep * (n - from) + (k % deep);
}

/** Matrices of inputs x outputs, row-major, one after the other, in panels. */
function panels(matrices: Float64Array, inputs: number, outputs: number): Float32Array<ArrayBuffer> {
	const out = new Float32Array(matrices.length);
	for (let from = 0; from < out.length; from += inputs * outputs)
		for (let k = 0; k < inputs; k++)
			for (let n = 0; n < outputs; n++)
				out[from + placeOf(k, n, inputs, outputs, 1)] = matrices[from + k * outputs + n]!;
	return out;
}

/** The same in 16 bits, each output's column with a scale of its own: weight = number x scale. */
function shortPanels(matrices: Float64Array, inputs: number, outputs: number) {
	const values = new Int16Array(matrices.length);
	const scales = new Float32Array(matrices.length / inputs);
	for (let column = 0; column < scales.length; column++) {
		const from = Math.floor(column / outputs) * inputs * outputs;
		const n = column % outputs;
		let squares = 0;
		let most = 0;
		for (let k = 0; k < inputs; k++) {
			const weight = matrices[from + k * outputs + n]!;
			squares += weight * weight;
			most = Math.max(most, Math.abs(weight));
		}
		if (most === 0) continue;
		const factor = Math.min(LONGEST_COLUMN / Math.sqrt(squares), LARGEST / most);
		scales[column] = 1 / factor;
		for (let k = 0; k < inputs; k++)
			values[from + placeOf(k, n, inputs, outputs, 2)] = Math.round(factor * matrices[from + k * outputs + n]!);
	}
	return { values, scales };
}

/** A matrix of inputs x results with columns of zeros up to fours, and rows up to `inputs`. */
function padded(matrix: Float32Array, inputs: number, results: number): Float64Array {
	const outputs = fours(results);
	const out = new Float64Array(inputs * outputs);
	for (let i = 0; i < matrix.length; i++) {
		const k = Math.floor(i / results);
		out[k * outputs + i - k * results] = matrix[i]!;
	}
	return out;
}

/** Carries a 3-vector of a kernel to the six places of a tile. */
const TO_SIX = [
	[1 / 4, 0, 0],
	[-1 / 6, -1 / 6, -1 / 6],
	[-1 / 6, 1 / 6, -1 / 6],
	[1 / 24, 1 / 12, 1 / 6],
	[1 / 24, -1 / 12, 1 / 6],
	[0, 0, 1],
] satisfies readonly (readonly [number, number, number])[];

/** The 36 matrices of a 3 x 3 kernel, row-major, one after the other, place by place of the tile. */
function tileMatrices(kernel: Float32Array, given: number, results: number): Float64Array {
	const [inputs, outputs] = [fours(given), fours(results)];
	const out = new Float64Array(36 * inputs * outputs);
	const half = new Float64Array(18);
	const down = 3 * given * results;
	// Hot loop.
	for (let k = 0; k < given; k++) {
		for (let n = 0; n < results; n++) {
			for (let r = 0; r < 6; r++) {
				const [top, middle, bottom] = TO_SIX[r]!;
				for (let x = 0; x < 3; x++) {
					const at = (x * given + k) * results + n;
					half[3 * r + x] = top * kernel[at]! + middle * kernel[at + down]! + bottom * kernel[at + 2 * down]!;
				}
			}
			const place = k * outputs + n;
			for (let r = 0; r < 6; r++) {
				for (let q = 0; q < 6; q++) {
					const [left, middle, right] = TO_SIX[q]!;
					const sum = left * half[3 * r]! + middle * half[3 * r + 1]! + right * half[3 * r + 2]!;
					out[(6 * r + q) * inputs * outputs + place] = sum;
				}
			}
		}
	}
	return out;
}
