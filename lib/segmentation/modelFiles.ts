import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { TrayError } from '../errors/TrayError';
import { loadPixelModel, type PixelModel } from './pixelModel';

/** Where the program keeps the trained model. */
export const MODEL_FOLDER = path.join('models', 'classifier');

/**
 * Read the trained model from disk (Node only).
 *
 * @param folder - holds model.json, weights.bin and checksum
 * @returns the model, or why there is none: thresholds then judge the photos and the reason is shown
 */
export async function openPixelModel(folder = MODEL_FOLDER): Promise<{ model?: PixelModel; reason?: string }> {
  const at = (...parts: string[]) => path.join(process.cwd(), ...parts);
  const read = (name: string) => readFile(path.resolve(folder, name));
  try {
    const [modelJson, weights, checksum] = await Promise.all(['model.json', 'weights.bin', 'checksum'].map(read));
    if (modelJson === undefined || weights === undefined || checksum === undefined) return { reason: MISSING };
    const wasmFolder = `${at('node_modules', '@tensorflow', 'tfjs-backend-wasm', 'dist')}${path.sep}`;
    return { model: await loadPixelModel({ modelJson, weights, checksum: checksum.toString('utf8'), wasmFolder }) };
  } catch (error) {
    if (error instanceof TrayError) return { reason: `${error.message} ${error.hint}` };
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return { reason: MISSING };
    throw error;
  }
}

const MISSING = 'The files of the pixel model are missing, so colour thresholds judge the photos.';
