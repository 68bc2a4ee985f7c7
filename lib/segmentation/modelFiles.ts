import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { promisify } from 'node:util';
import { brotliDecompress } from 'node:zlib';
import { toldOf } from '../errors/TrayError';
import type { NetworkPartner } from './networkPartner';
import { loadPixelModel, type ModelSource, type PixelModel } from './pixelModel';

/** Where the program keeps the trained model. */
export const MODEL_FOLDER = path.join('models', 'classifier');

const unpack = promisify(brotliDecompress);

/** The files of a model as they lie in a folder. */
export async function modelSource(folder: string): Promise<ModelSource> {
	const read = (name: string) => readFile(path.resolve(/* turbopackIgnore: true */ folder, name));
	const [modelJson, packed, checksum] = await Promise.all([
		read('model.json'),
		read('weights.planes.br'),
		read('checksum'),
	]);
	// what can't be unpacked is refused by its checksum
	const weights = await unpack(packed).then(wordsOf, () => packed);
	const at = (...parts: string[]) => path.join(/* turbopackIgnore: true */ process.cwd(), ...parts);
	return {
		modelJson,
		weights,
		checksum: checksum.toString('utf8'),
		wasmFolder: `${at('node_modules', '@tensorflow', 'tfjs-backend-wasm', 'dist')}${path.sep}`,
	};
}

/** The 16-bit words, low byte first, of which all high bytes come and then all low ones: so they pack tighter. */
function wordsOf(planes: Buffer): Buffer {
	const words = Buffer.alloc(planes.length);
	const half = planes.length >> 1;
	for (let i = 0; i < half; i++) {
		words[2 * i] = planes[half + i]!;
		words[2 * i + 1] = planes[i]!;
	}
	return words;
}

/**
 * Read the trained model from disk (Node only).
 *
 * @param folder - holds model.json, weights.planes.br and checksum
 * @param partner - a second thread that takes part where a processor has nothing to do
 * @returns the model, or why there is none: thresholds then judge the photos and the reason is shown
 */
export async function openPixelModel(
	folder = MODEL_FOLDER,
	partner?: NetworkPartner,
): Promise<{ model?: PixelModel; reason?: string }> {
	try {
		return { model: await loadPixelModel(await modelSource(folder), undefined, partner) };
	} catch (error) {
		const isMissing = error instanceof Error && 'code' in error && error.code === 'ENOENT';
		return { reason: isMissing ? MISSING : toldOf(error) };
	}
}

const MISSING = 'The files of the pixel model are missing, so colour thresholds judge the photos.';
