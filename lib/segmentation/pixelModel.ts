import { sha256 } from '@noble/hashes/sha2';
import { bytesToHex } from '@noble/hashes/utils';
import { z } from 'zod';
import { TrayError } from '../errors/TrayError';
import { scoresOf, sharesOf } from './lastLayer';
import { type ModelRows, ROW_STEP } from './modelRows';
import { eachTile } from './modelTiles';
import { networkOf, type PixelNetwork, type RowAnswer } from './network';
import type { NetworkPartner } from './networkPartner';
import type { PixelRow } from './networkRunner';
import { DEEP_ROUNDS } from './networkSteps';
import type { LayerWeights } from './networkWeights';

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
	readonly head: ModelHead;
	/** SHA-256 of the weights, hex: a last layer fitted anew belongs to these weights alone. */
	readonly checksum: string;
	/**
	 * Class probabilities. Memory stays bounded whatever the size.
	 *
	 * @param take - is told the probabilities of row after row, six a pixel, good until the next row
	 * @param head - stands in for the model's own last layer
	 */
	read(rows: ModelRows, take: (row: number, shares: Float32Array) => void, head?: ModelHead): Promise<void>;
	/** Inputs of the last layer, height x width x (weights.length / 6). */
	features(rows: ModelRows): Promise<Float32Array>;
}

/** The model's files, read by whoever knows where they lie. */
export interface ModelSource {
	readonly modelJson: Uint8Array;
	readonly weights: Uint8Array;
	/** Lines `<sha-256 in hex>  <file name>` for `model.json` and `weights.bin`. */
	readonly checksum: string;
	/** Folder of TensorFlow's WebAssembly files, with a slash at its end; read only where the own kernels can't run. None in a browser. */
	readonly wasmFolder?: string;
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
		deepRounds: z.literal(DEEP_ROUNDS),
	}),
});
export type ModelFile = z.infer<typeof ModelFile>;

/**
 * Load the pixel classifier and make it ready to run.
 *
 * It runs on the own SIMD kernels (network.ts), some three times faster than on TensorFlow.js, which serves where a machine's
 * WebAssembly has no SIMD and is loaded only then.
 *
 * @param engine - for tests: hold one engine to the other
 * @param partner - a second thread for the own kernels
 * @throws TrayError `file-unreadable` when a file is not the one its checksum names, or is no model
 */
export async function loadPixelModel(
	source: ModelSource,
	engine?: 'tensorflow',
	partner?: NetworkPartner,
): Promise<PixelModel> {
	// browsers keep their own back over plain http
	const weightsSum = bytesToHex(sha256(source.weights));
	for (const [name, sum] of [
		['model.json', bytesToHex(sha256(source.modelJson))],
		['weights.bin', weightsSum],
	] as const)
		if (!source.checksum.includes(`${sum}  ${name}`))
			throw new TrayError('file-unreadable', `The pixel model's ${name} is not the file that was checked in.`, RESTORE);
	const parsed = ModelFile.safeParse(JSON.parse(new TextDecoder().decode(source.modelJson)));
	if (!parsed.success)
		throw new TrayError('file-unreadable', 'The pixel model is not built as this version reads it.', RESTORE);
	const layers = layersOf(parsed.data.weightsManifest[0].weights, source.weights);
	const last = layers.get('classes');
	if (last === undefined) throw new TypeError('the network has a last layer');
	const head: ModelHead = { weights: last.kernel, bias: last.bias };
	const own = engine === undefined ? networkOf(layers, partner) : undefined;
	const network = own ?? (await tensorflow(parsed.data, source, head));
	const { scalePxPerMm, prior } = parsed.data.userDefinedMetadata;
	return {
		scalePxPerMm,
		prior,
		head,
		checksum: weightsSum,
		read: (rows, take, other) =>
			readInTiles(network, rows, CLASSES, other === undefined ? ownShares : sharesWith(other), take),
		async features(rows) {
			const many = head.weights.length / CLASSES;
			const out = new Float32Array(rows.width * rows.height * many);
			await readInTiles(network, rows, many, ownFeatures, (row, line) => out.set(line, row * rows.width * many));
			return out;
		},
	};
}

async function tensorflow(file: ModelFile, source: ModelSource, head: ModelHead): Promise<PixelNetwork> {
	const { wasmFolder } = source;
	if (wasmFolder === undefined)
		throw new TrayError(
			'file-unreadable',
			'This browser can’t run the pixel model.',
			'The laptop reads photos with it.',
		);
	const { tensorflowNetwork } = await import('./tensorflowNetwork');
	return tensorflowNetwork(file, { ...source, wasmFolder }, head);
}

const CLASSES = 6;

const RESTORE = 'Put the files of models/classifier back as they came; until then thresholds judge the photos.';

/** The layers' numbers, which lie one after the other in half precision. */
function layersOf(specs: z.infer<typeof Weight>[], bytes: Uint8Array): ReadonlyMap<string, LayerWeights> {
	const halves = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
	const layers = new Map<string, LayerWeights>();
	let at = 0;
	for (const { name, shape } of specs) {
		const values = new Float32Array(shape.reduce((product, side) => product * side, 1));
		for (let i = 0; i < values.length; i++, at += 2) values[i] = halfPrecision(halves.getUint16(at, true));
		const [layer = '', part] = name.split('/');
		const known = layers.get(layer) ?? { shape: [], kernel: values, bias: values };
		layers.set(layer, part === 'kernel' ? { ...known, shape, kernel: values } : { ...known, bias: values });
	}
	return layers;
}

/** @source IEEE 754-2019, binary16 */
function halfPrecision(bits: number): number {
	const sign = bits & 0x8000 ? -1 : 1;
	const exponent = (bits >> 10) & 0x1f;
	const fraction = (bits & 0x3ff) / 1024;
	return sign * (exponent === 0 ? fraction * 2 ** -14 : (1 + fraction) * 2 ** (exponent - 15));
}

/** Writes `count` pixels of one row of an answer, from `column` on, to `out` from `to` on. */
type Take = (answer: RowAnswer, column: number, count: number, out: Float32Array, to: number) => void;

/**
 * Run a network over a picture, tile by tile where it must; each tile sees enough around it that the seams do not show. Where one tile takes a whole
 * row, rows are handed on as they come, else once all tiles beside one another are read.
 */
async function readInTiles(
	network: PixelNetwork,
	{ width, height, open }: ModelRows,
	channels: number,
	write: Take,
	take: (row: number, line: Float32Array) => void,
): Promise<void> {
	let held = new Float32Array(0);
	for (const tile of eachTile(width, height, network.goesByRows)) {
		const count = tile.toColumn - tile.fromColumn;
		const isWhole = count === width;
		const size = (isWhole ? 1 : tile.toRow - tile.fromRow) * width * channels;
		if (held.length !== size) held = new Float32Array(size);
		const rowOf = open();
		await network.read(
			tile.width,
			tile.height,
			(y, line) => fillIn(rowOf(Math.min(height - 1, tile.top + y)), width, tile, line),
			(y, answer) => {
				const row = tile.top + y;
				if (row < tile.fromRow || row >= tile.toRow) return;
				const at = isWhole ? 0 : (row - tile.fromRow) * width + tile.fromColumn;
				write(answer, tile.fromColumn - tile.left, count, held, at * channels);
				if (isWhole) take(row, held);
			},
		);
		if (!isWhole && tile.toColumn === width)
			for (let row = tile.fromRow, at = 0; row < tile.toRow; row++, at += width * channels)
				take(row, held.subarray(at, at + width * channels));
	}
}

const ownShares: Take = ({ shares }, column, count, out, to) => copyPixels(shares, CLASSES, column, count, out, to);

/** The same with another last layer on the features. */
function sharesWith(head: ModelHead): Take {
	return ({ features }, column, count, out, to) => {
		const scores = scoresOf({ ...features, at: features.at + column * features.pixelStep }, count, head);
		out.set(sharesOf(scores, CLASSES), to);
	};
}

const ownFeatures: Take = ({ features }, column, count, out, to) =>
	copyPixels(features, features.channels, column, count, out, to);

function copyPixels(
	{ values, at, pixelStep }: PixelRow,
	channels: number,
	column: number,
	count: number,
	out: Float32Array,
	to: number,
): void {
	// Hot loop.
	for (let from = at + column * pixelStep, place = to; place < to + count * channels; from += pixelStep)
		for (let c = 0; c < channels; c++) out[place++] = values[from + c]!;
}

/** The part of a row that a tile sees; beyond the picture its edge repeats. */
function fillIn(
	row: Float32Array,
	width: number,
	tile: { readonly left: number; readonly width: number },
	{ values, at, pixelStep }: PixelRow,
): void {
	const seen = Math.min(tile.width, width - tile.left);
	if (pixelStep === ROW_STEP) values.set(row.subarray(ROW_STEP * tile.left, ROW_STEP * (tile.left + seen)), at);
	for (let x = pixelStep === ROW_STEP ? seen : 0; x < tile.width; x++)
		for (let c = 0; c < 3; c++)
			values[at + x * pixelStep + c] = row[ROW_STEP * (tile.left + Math.min(x, seen - 1)) + c]!;
}
