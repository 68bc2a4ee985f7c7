import { setImmediate } from 'node:timers/promises';
import { Worker, type WorkerOptions } from 'node:worker_threads';
import type { NetworkPartner } from './networkPartner';

/** What the thread makes is of no use a moment later; with more room it would only be collected later. */
const resourceLimits = { maxYoungGenerationSizeMb: 2 };

let startThread = () => new Worker(new URL('./networkThread.ts', import.meta.url), { resourceLimits });

/** How a thread that runs networkThread.ts is started where the app's own build does not do it. */
export function startPartnersBy(start: (options: WorkerOptions) => Worker): void {
	startThread = () => start({ resourceLimits });
}

/**
 * A second thread for a network, started with the first picture that it is wanted for (Node only). Where it can't be started, or ends, pictures are
 * read without it.
 *
 * @param spare - above 0 while a processor has nothing to do
 */
export function threadPartner(spare: Int32Array<SharedArrayBuffer>): NetworkPartner {
	let worker: Worker | undefined;
	let isLost = false;
	const lose = (cause: unknown) => {
		isLost = true;
		console.error('The thread that helps with the network ended; pictures are read without it:', cause);
	};
	const hire = () => {
		const hired = startThread();
		hired.unref();
		let cause: unknown;
		hired.on('error', (error) => {
			cause = error;
		});
		// only from then on does it touch nothing
		hired.on('exit', (code) => lose(cause ?? `code ${code}`));
		return hired;
	};
	return {
		spare,
		help(order) {
			if (isLost) return false;
			try {
				worker ??= hire();
				worker.postMessage(order);
			} catch (cause) {
				lose(cause);
			}
			return !isLost;
		},
		async isThere() {
			await setImmediate();
			return !isLost;
		},
	};
}
