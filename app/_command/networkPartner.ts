import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { NetworkPartner } from '@/lib/segmentation/networkPartner';
import { startPartnersBy, threadPartner } from '@/lib/segmentation/threadPartner';

/** A second thread for the network of a program that reads one photo at a time. */
export function partnerFromSource(): NetworkPartner {
	startPartnersBy((options) => new Worker(new URL('./networkThread.mjs', import.meta.url), options));
	return threadPartner(new Int32Array(new SharedArrayBuffer(4)).fill(availableParallelism() - 1));
}
