import { goTogether, PartnerLost, type Work } from './goTogether';
import { boardWords, NetworkBoard } from './networkBoard';
import { layOut, planesOf, scratchAfter } from './networkMemory';
import type { NetworkPartner } from './networkPartner';
import { type NetworkKernels, type PixelRow, Runner } from './networkRunner';
import { goThrough, sizeBands, stepsOf } from './networkSteps';
import { type LayerWeights, packLayers } from './networkWeights';
import { kernelModule } from './simdKernels';

/** What the network makes of one row of pixels; valid until the next row is taken. */
export interface RowAnswer {
	/** Inputs of the last layer. */
	readonly features: PixelRow;
	/** Class shares by the network's own last layer. */
	readonly shares: PixelRow;
}

/** Runs the pixel network: an encoder-decoder that halves the picture three times. */
export interface PixelNetwork {
	/** Whether a picture of any height takes bounded memory. */
	readonly goesByRows: boolean;
	/**
	 * Run it on a picture.
	 *
	 * @param width - and height: multiples of eight
	 * @param fill - writes the picture's rows, three channels a pixel, one after the other
	 * @param take - is told the answers, row after row
	 */
	read(
		width: number,
		height: number,
		fill: (row: number, line: PixelRow) => void,
		take: (row: number, answer: RowAnswer) => void,
	): void | Promise<void>;
}

/** Bytes of a page of WebAssembly memory. */
const PAGE = 65536;
/** Pages that a memory which threads share may grow to: 1 GB. */
const MOST_SHARED_PAGES = 16_384;

/**
 * Make the network ready to run on WebAssembly with SIMD. Its layers, by name, are those of models/network.py.
 *
 * @param partner - a second thread for pictures that are read while a processor has nothing to do; the answers are the same bit by bit
 * @returns undefined where this machine's WebAssembly has no SIMD
 */
export function networkOf(
	layers: ReadonlyMap<string, LayerWeights>,
	partner?: NetworkPartner,
): PixelNetwork | undefined {
	const packed = packLayers(layers);
	const short = Array.from(packed.layers.values()).filter(({ scales }) => scales !== undefined);
	const initial = Math.ceil(packed.bytes / PAGE);
	const shared = partner === undefined ? undefined : sharedMemory(initial);
	const code = kernelModule([...new Set(short.map(({ inputs }) => inputs))], shared !== undefined);
	if (!WebAssembly.validate(code)) return undefined;
	const memory = shared ?? new WebAssembly.Memory({ initial });
	new Uint8Array(memory.buffer).set(packed.values);
	const module = new WebAssembly.Module(code);
	// the module above exports exactly these functions
	const kernels = new WebAssembly.Instance(module, { host: { memory } }).exports as unknown as NetworkKernels;
	const roomFor = (bytes: number) => {
		const missing = bytes - memory.buffer.byteLength;
		if (missing > 0) memory.grow(Math.ceil(missing / PAGE));
	};
	return {
		goesByRows: true,
		read(width, height, fill, take) {
			const planes = planesOf(width, height, packed);
			const steps = stepsOf(planes);
			const bands = sizeBands(planes, steps);
			const isShared = shared !== undefined && partner !== undefined && Atomics.load(partner.spare, 0) > 0;
			const { bytes, ...scratch } = layOut(bands, width, packed);
			const theirs = isShared ? scratchAfter(bytes, width, packed) : undefined;
			roomFor(theirs?.bytes ?? bytes);
			const run = new Runner(kernels, new Float32Array(memory.buffer), scratch, packed);
			let told = 0;
			const work: Work = {
				give(from, to) {
					for (let row = from; row < to; row++) fill(row, run.rowOf(planes.picture, row));
					run.finish(planes.picture.band, from, to);
				},
				write: (step, rows) => run.write(step, rows),
				taken(from, to) {
					for (let row = Math.max(from, told); row < to; row++) {
						const shares = run.rowOf(planes.scores, row);
						kernels.shares(4 * shares.at, 4 * shares.pixelStep, width);
						take(row, { features: run.rowOf(planes.features, row), shares });
						told = row + 1;
					}
				},
			};
			const goAlone = () => {
				for (const plane of Object.values(planes)) plane.done = 0;
				for (const band of bands) run.clearRim(band);
				goThrough(planes, steps, work.give, work.write, work.taken);
			};
			if (partner === undefined || theirs === undefined) return goAlone();
			for (const band of bands) run.clearRim(band);
			const board = boardWords(planes, steps);
			const { layers: own, zeros } = packed;
			const isTaken = partner.help({
				...{ memory, module, packed: { layers: own, zeros }, width, height },
				bands: Array.from(bands, ({ rows, at }) => ({ rows, at })),
				scratch: theirs,
				board,
				spare: partner.spare,
			});
			if (!isTaken) return goAlone();
			// a step that adds to what stands there can't be done again once it was begun, so all is; rows already told are not told again
			return goTogether(new NetworkBoard(board, planes, steps, true), planes, work, partner).catch((cause) => {
				if (!(cause instanceof PartnerLost)) throw cause;
				goAlone();
			});
		},
	};
}

/** Undefined where the machine has no room to set aside for it: one thread then goes alone. */
function sharedMemory(initial: number): WebAssembly.Memory | undefined {
	try {
		return new WebAssembly.Memory({ initial, maximum: MOST_SHARED_PAGES, shared: true });
	} catch {
		return undefined;
	}
}
