import { NetworkBoard } from './networkBoard';
import { planesOf, type Scratch } from './networkMemory';
import { type NetworkKernels, Runner } from './networkRunner';
import { stepsOf } from './networkSteps';
import type { Packed } from './networkWeights';

/** What a second thread needs to work on the rows of a network. */
export interface PartnerOrder {
	readonly memory: WebAssembly.Memory;
	readonly module: WebAssembly.Module;
	readonly packed: Pick<Packed, 'layers' | 'zeros'>;
	readonly width: number;
	readonly height: number;
	/** Rows that each band keeps and where they lie, in the order of the planes. */
	readonly bands: readonly { readonly rows: number; readonly at: number }[];
	/** A place of its own to work in. */
	readonly scratch: Scratch;
	readonly board: Int32Array<SharedArrayBuffer>;
	/** Above 0 while a processor has nothing to do. */
	readonly spare: Int32Array<SharedArrayBuffer>;
}

/** Where the second thread is to be had. */
export interface NetworkPartner {
	/** Above 0 while a processor has nothing to do: the partner works only then. */
	readonly spare: Int32Array<SharedArrayBuffer>;
	/** Hand it an order, which it takes up when it can; false where there is nobody to take it. */
	help(order: PartnerOrder): boolean;
	/** Whether it may still touch an order's memory, once word of its end had a moment to come in. */
	isThere(): Promise<boolean>;
}

/** How long a partner waits for a spare processor before it looks again, ms. */
const SPARE_AGAIN_MS = 5;

/** Works on the rows until all is over: what the second thread does. */
export function helpOut(order: PartnerOrder): void {
	const helper = helperOf(order);
	if (!helper.board.enter()) return;
	try {
		while (!helper.board.isOver()) {
			const seen = helper.board.changes();
			if (Atomics.load(order.spare, 0) <= 0 || !helper.writeOne()) helper.board.rest(seen, SPARE_AGAIN_MS);
		}
	} finally {
		helper.board.leave();
	}
}

/** One thread's side of the work on an order. */
export function helperOf({ memory, module, packed, width, height, bands, scratch, board }: PartnerOrder) {
	const planes = planesOf(width, height, packed);
	const steps = stepsOf(planes);
	for (const [k, band] of [...new Set(Object.values(planes).map((plane) => plane.band))].entries())
		Object.assign(band, bands[k]);
	// the module exports exactly these functions
	const kernels = new WebAssembly.Instance(module, { host: { memory } }).exports as unknown as NetworkKernels;
	const run = new Runner(kernels, new Float32Array(memory.buffer), scratch, packed);
	const there = new NetworkBoard(board, planes, steps);
	return {
		board: there,
		/** Writes the rows of one step, where one is to be had. */
		writeOne(): boolean {
			const step = there.claim();
			if (step === undefined) return false;
			const { rows } = there;
			run.write(step, rows);
			there.finish(step, rows);
			return true;
		},
	};
}
