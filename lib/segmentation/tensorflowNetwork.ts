import type * as Tensors from '@tensorflow/tfjs';
import { TrayError } from '../errors/TrayError';
import { scoresOf, sharesOf } from './lastLayer';
import type { PixelNetwork } from './network';
import type { ModelFile, ModelHead, ModelSource } from './pixelModel';

/**
 * The pixel network on TensorFlow.js, for machines whose WebAssembly has no SIMD, and the slow, obvious twin that tests hold
 * network.ts to.
 */
export async function tensorflowNetwork(
	{ modelTopology, weightsManifest }: ModelFile,
	{ weights, wasmFolder }: Required<ModelSource>,
	head: ModelHead,
): Promise<PixelNetwork> {
	const tf = await backend(wasmFolder);
	const model = await tf.loadLayersModel({
		load: async () => ({
			modelTopology,
			weightSpecs: weightsManifest[0].weights,
			weightData: new Uint8Array(weights).buffer,
		}),
	});
	const inner = tf.model({ inputs: model.inputs, outputs: tensorOf(model.getLayer('features').output) });
	const [classes, many] = [head.bias.length, head.weights.length / head.bias.length];
	return {
		goesByRows: false,
		async read(width, height, fill, take) {
			const picture = new Float32Array(width * height * 3);
			for (let row = 0; row < height; row++)
				fill(row, { values: picture, at: 3 * row * width, pixelStep: 3, channels: 3 });
			const input = tf.tensor4d(picture, [1, height, width, 3]);
			const result = tf.tidy(() => inner.predict(input));
			if (Array.isArray(result)) throw new TypeError('the network has one output');
			const values = Float32Array.from(await result.data());
			tf.dispose([input, result]);
			for (let row = 0; row < height; row++) {
				const features = { values, at: row * width * many, pixelStep: many, channels: many };
				const shares = sharesOf(scoresOf(features, width, head), classes);
				take(row, { features, shares: { values: shares, at: 0, pixelStep: classes, channels: classes } });
			}
		},
	};
}

/** TensorFlow.js on one thread of WebAssembly: threads break inside a bundled server and gain nothing. */
async function backend(wasmFolder: string): Promise<typeof Tensors> {
	const tf = await import('@tensorflow/tfjs');
	const { setWasmPaths } = await import('@tensorflow/tfjs-backend-wasm');
	if (tf.getBackend() === 'wasm') return tf;
	tf.env().set('WASM_HAS_MULTITHREAD_SUPPORT', false);
	setWasmPaths(wasmFolder);
	if (!(await tf.setBackend('wasm')))
		throw new TrayError(
			'file-unreadable',
			'The WebAssembly files of the pixel model did not load.',
			'Install the program again with npm ci; until then thresholds judge the photos.',
		);
	return tf;
}

function tensorOf(output: Tensors.SymbolicTensor | Tensors.SymbolicTensor[]): Tensors.SymbolicTensor {
	const [first] = Array.isArray(output) ? output : [output];
	if (first === undefined) throw new TypeError('a layer has an output');
	return first;
}
