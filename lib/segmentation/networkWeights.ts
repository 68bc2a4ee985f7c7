/** A convolution as trained: kernel rows x columns x inputs x outputs, row-major, and one bias an output. */
export interface LayerWeights {
  readonly shape: readonly number[];
  readonly kernel: Float32Array;
  readonly bias: Float32Array;
}

/** A layer as the kernels read it; places in bytes from the memory's start. */
interface PackedLayer {
  readonly weights: number;
  readonly bias: number;
  /** Numbers that make one result: channels, times four for 2 x 2; in fours. */
  readonly inputs: number;
  /** In fours. */
  readonly outputs: number;
}

export interface Packed {
  readonly layers: ReadonlyMap<string, PackedLayer>;
  /** What stands at the memory's start. */
  readonly values: Float32Array;
  readonly bytes: number;
  /** Where as many zeros lie as the widest layer has outputs. */
  readonly zeros: number;
}

const fours = (count: number) => 4 * Math.ceil(count / 4);

/** Bring all layers into the order in which the kernels read them. */
export function packLayers(layers: ReadonlyMap<string, LayerWeights>): Packed {
  const pieces: Float32Array[] = [];
  let floats = 0;
  const add = (piece: Float32Array) => {
    const at = 4 * floats;
    pieces.push(piece);
    floats += fours(piece.length);
    return at;
  };
  const packed = new Map<string, PackedLayer>();
  for (const [name, { shape, kernel, bias }] of layers) {
    const [rows = 0, columns = 0, given = 0, results = 0] = shape;
    if (kernel.length !== rows * columns * given * results || bias.length !== results || ![1, 2, 3].includes(rows))
      throw new RangeError(`layer ${name}: a kernel of ${shape.join(' x ')} expected, got ${kernel.length} numbers`);
    const outputs = fours(results);
    const inputs = rows === 2 ? 4 * given : fours(given);
    const weights = add(rows === 3 ? tileMatrices(kernel, given, results) : panels(kernel, inputs, results));
    const biases = new Float32Array(outputs);
    biases.set(bias);
    packed.set(name, { weights, bias: add(biases), inputs, outputs });
  }
  const zeros = add(new Float32Array(Math.max(...Array.from(packed.values(), ({ outputs }) => outputs))));
  return { layers: packed, values: concatenated(pieces), bytes: 4 * floats, zeros };
}

/** Place of the weight from input `k` to output `n`: panels of eight outputs (a last one of four), each panel input by input. */
function placeOf(k: number, n: number, inputs: number, outputs: number): number {
  const from = n - (n % 8);
  return from * inputs + k * Math.min(8, outputs - from) + n - from;
}

/** A matrix of inputs x outputs, row-major, in panels. */
function panels(matrix: Float32Array, inputs: number, results: number): Float32Array {
  const outputs = fours(results);
  const out = new Float32Array(inputs * outputs);
  for (let i = 0; i < matrix.length; i++) {
    const k = Math.floor(i / results);
    out[placeOf(k, i - k * results, inputs, outputs)] = matrix[i]!;
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

/** The 36 matrices of a 3 x 3 kernel in panels, one after the other, place by place of the tile; worked out in double precision. */
function tileMatrices(kernel: Float32Array, given: number, results: number): Float32Array {
  const [inputs, outputs] = [fours(given), fours(results)];
  const out = new Float32Array(36 * inputs * outputs);
  const half = new Float64Array(18);
  // Hot loop.
  for (let k = 0; k < given; k++) {
    for (let n = 0; n < results; n++) {
      for (let r = 0; r < 6; r++) {
        const [top, middle, bottom] = TO_SIX[r]!;
        for (let x = 0; x < 3; x++) {
          const at = (y: number) => kernel[((y * 3 + x) * given + k) * results + n]!;
          half[3 * r + x] = top * at(0) + middle * at(1) + bottom * at(2);
        }
      }
      const place = placeOf(k, n, inputs, outputs);
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

function concatenated(pieces: readonly Float32Array[]): Float32Array {
  const out = new Float32Array(pieces.reduce((sum, piece) => sum + fours(piece.length), 0));
  let at = 0;
  for (const piece of pieces) {
    out.set(piece, at);
    at += fours(piece.length);
  }
  return out;
}
