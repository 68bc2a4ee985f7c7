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
 * A second thread for a network, started with the first picture that it is wanted for (Node only). Where it can't be started, or stops, pictures are
 * read without it.
 *
 * @param spare - above 0 while a processor has nothing to do
 */
export function threadPartner(spare: Int32Array<SharedArrayBuffer>): NetworkPartner {
  let worker: Worker | undefined;
  let isLost = false;
  const hire = () => {
    const hired = startThread();
    hired.unref();
    hired.on('error', (cause) => {
      isLost = true;
      console.error('The thread that helps with the network stopped:', cause);
    });
    return hired;
  };
  return {
    spare,
    help(order) {
      if (isLost) return;
      worker ??= hire();
      worker.postMessage(order);
    },
  };
}
