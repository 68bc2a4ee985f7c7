import type * as Tensors from '@tensorflow/tfjs';
import { z } from 'zod';
import { TrayError } from '../errors/TrayError';
import { eachTile } from './modelTiles';

/** A picture at the model's scale: linear reflectance, a perfect white diffuser 1 in each channel. */
export interface ModelPicture {
  readonly width: number;
  readonly height: number;
  /** height x width x 3, row-major; negative values are taken as 0. */
  readonly linear: Float32Array;
}

/** The last layer: class scores = features x weights + bias. What taught spots may fit anew. */
export interface ModelHead {
  /** features x classes, row-major. */
  readonly weights: Float32Array;
  readonly bias: Float32Array;
}

/** The trained pixel classifier. Classes in the order of the class codes: background, copper, tinned, aluminium, insulation, other. */
export interface PixelModel {
  /** The one scale at which the model was trained. */
  readonly scalePxPerMm: number;
  /** Class shares of the pixels it was trained on, to which its probabilities are calibrated. */
  readonly prior: readonly number[];
  /**
   * What each class's probability is multiplied by before the likeliest is called, so that rare classes are not swallowed by
   * common ones. For calling pixels only: sums of the bare probabilities are what estimates area.
   *
   * @source cross-validation over held-out scenes, models/CARD.md
   */
  readonly callWeights: readonly number[];
  readonly head: ModelHead;
  /** SHA-256 of the weights, hex: a last layer fitted anew belongs to these weights alone. */
  readonly checksum: string;
  /**
   * Class probabilities, height x width x 6. Memory stays bounded whatever the size.
   *
   * @param head - stands in for the model's own last layer
   */
  predict(picture: ModelPicture, head?: ModelHead): Promise<Float32Array>;
  /** Inputs of the last layer, height x width x (weights.length / 6). */
  features(picture: ModelPicture): Promise<Float32Array>;
}

/** The model's files, read by whoever knows where they lie. */
export interface ModelSource {
  readonly modelJson: Uint8Array;
  readonly weights: Uint8Array;
  /** Lines `<sha-256 in hex>  <file name>` for `model.json` and `weights.bin`. */
  readonly checksum: string;
  /** Folder of the WebAssembly files, with a slash at its end. */
  readonly wasmFolder: string;
}

const Weight = z.object({
  name: z.string(),
  shape: z.array(z.number().int().positive()),
  dtype: z.literal('float32'),
  quantization: z.object({ dtype: z.literal('float16'), original_dtype: z.literal('float32') }),
});
const ModelFile = z.object({
  modelTopology: z.record(z.string(), z.unknown()),
  weightsManifest: z.tuple([z.object({ weights: z.array(Weight) })]),
  userDefinedMetadata: z.object({
    scalePxPerMm: z.number().positive(),
    prior: z.array(z.number().positive()).length(6),
    callWeights: z.array(z.number().positive()).length(6),
  }),
});

/**
 * Load the pixel classifier and the WebAssembly backend that runs it; nothing of either is loaded before.
 *
 * @throws TrayError `file-unreadable` when a file is not the one its checksum names, or is no model
 */
export async function loadPixelModel(source: ModelSource): Promise<PixelModel> {
  const weightsSum = await sha256(source.weights);
  for (const [name, sum] of [
    ['model.json', await sha256(source.modelJson)],
    ['weights.bin', weightsSum],
  ] as const)
    if (!source.checksum.includes(`${sum}  ${name}`))
      throw new TrayError('file-unreadable', `The pixel model's ${name} is not the file that was checked in.`, RESTORE);
  const file = ModelFile.safeParse(JSON.parse(new TextDecoder().decode(source.modelJson)));
  if (!file.success) throw new TrayError('file-unreadable', 'The pixel model does not describe itself.', RESTORE);
  const { modelTopology, weightsManifest, userDefinedMetadata } = file.data;
  const tf = await backend(source.wasmFolder);
  const model = await tf.loadLayersModel({
    load: async () => ({
      modelTopology,
      weightSpecs: weightsManifest[0].weights,
      weightData: new Uint8Array(source.weights).buffer,
    }),
  });
  const inner = tf.model({ inputs: model.inputs, outputs: tensorOf(model.getLayer('features').output) });
  const [kernel, bias] = model.getLayer('classes').getWeights();
  if (kernel === undefined || bias === undefined) throw new TypeError('the last layer has a kernel and a bias');
  return {
    ...userDefinedMetadata,
    head: { weights: await floats(kernel), bias: await floats(bias) },
    checksum: weightsSum,
    predict: (picture, head) =>
      head === undefined
        ? run(tf, (input) => only(model.predict(input)), picture, bias.size)
        : runWith(tf, inner, head, picture),
    features: (picture) => run(tf, (input) => only(inner.predict(input)), picture, kernel.size / bias.size),
  };
}

/** The network up to its last layer, and another last layer on it. */
async function runWith(
  tf: typeof Tensors,
  inner: Tensors.LayersModel,
  { weights, bias }: ModelHead,
  picture: ModelPicture,
): Promise<Float32Array> {
  const classes = bias.length;
  const kernel = tf.tensor4d(weights, [1, 1, weights.length / classes, classes]);
  const added = tf.tensor1d(bias);
  const network = (input: Tensors.Tensor4D) =>
    tf.softmax(tf.add(tf.conv2d(only(inner.predict(input)) as Tensors.Tensor4D, kernel, 1, 'same'), added));
  try {
    return await run(tf, network, picture, classes);
  } finally {
    tf.dispose([kernel, added]);
  }
}

function only(output: Tensors.Tensor | Tensors.Tensor[]): Tensors.Tensor {
  if (Array.isArray(output)) throw new TypeError('the network has one output');
  return output;
}

const RESTORE = 'Put the files of models/classifier back as they came; until then thresholds judge the photos.';

async function sha256(bytes: Uint8Array): Promise<string> {
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', new Uint8Array(bytes)));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** TensorFlow.js on one thread of WebAssembly: threads break inside a bundled server and gain nothing. */
async function backend(wasmFolder: string): Promise<typeof Tensors> {
  const tf = await import('@tensorflow/tfjs');
  const { setWasmPaths } = await import('@tensorflow/tfjs-backend-wasm');
  if (tf.getBackend() === 'wasm') return tf;
  tf.env().set('WASM_HAS_MULTITHREAD_SUPPORT', false);
  setWasmPaths(wasmFolder);
  if (!(await tf.setBackend('wasm')))
    throw new TrayError('file-unreadable', 'The WebAssembly files of the pixel model did not load.', RESTORE);
  return tf;
}

function tensorOf(output: Tensors.SymbolicTensor | Tensors.SymbolicTensor[]): Tensors.SymbolicTensor {
  const [first] = Array.isArray(output) ? output : [output];
  if (first === undefined) throw new TypeError('a layer has an output');
  return first;
}

async function floats(tensor: Tensors.Tensor): Promise<Float32Array> {
  return Float32Array.from(await tensor.data());
}

/** Run a network tile by tile; each tile sees enough around it that the seams do not show. */
async function run(
  tf: typeof Tensors,
  network: (input: Tensors.Tensor4D) => Tensors.Tensor,
  picture: ModelPicture,
  channels: number,
): Promise<Float32Array> {
  if (picture.linear.length !== picture.width * picture.height * 3)
    throw new RangeError(`linear holds ${picture.linear.length} numbers, not ${picture.width} x ${picture.height} x 3`);
  const out = new Float32Array(picture.width * picture.height * channels);
  for (const tile of eachTile(picture.width, picture.height)) {
    const input = tf.tensor4d(encoded(picture, tile), [1, tile.height, tile.width, 3]);
    const result = tf.tidy(() => network(input));
    const values = await result.data();
    tf.dispose([input, result]);
    const wide = (tile.toColumn - tile.fromColumn) * channels;
    for (let row = tile.fromRow; row < tile.toRow; row++) {
      const at = ((row - tile.top) * tile.width + tile.fromColumn - tile.left) * channels;
      out.set(values.subarray(at, at + wide), (row * picture.width + tile.fromColumn) * channels);
    }
  }
  return out;
}

/**
 * The tile as the network wants it: sRGB-curved reflectance, clipped at 1.2, less a half; beyond the picture its edge repeats.
 *
 * @source IEC 61966-2-1 for the curve
 */
function encoded(
  picture: ModelPicture,
  tile: { left: number; top: number; width: number; height: number },
): Float32Array {
  const out = new Float32Array(tile.width * tile.height * 3);
  // Hot loop.
  for (let y = 0, at = 0; y < tile.height; y++) {
    const row = Math.min(picture.height - 1, tile.top + y) * picture.width;
    for (let x = 0; x < tile.width; x++) {
      const from = 3 * (row + Math.min(picture.width - 1, tile.left + x));
      for (let c = 0; c < 3; c++) {
        const r = picture.linear[from + c]!;
        const curved = r <= 0.0031308 ? 12.92 * Math.max(0, r) : 1.055 * r ** (1 / 2.4) - 0.055;
        out[at++] = Math.min(1.2, curved) - 0.5;
      }
    }
  }
  return out;
}
