import { setImmediate } from 'node:timers/promises';
import { Worker, type WorkerOptions } from 'node:worker_threads';
import type { NetworkPartner, PartnerOrder } from '../segmentation/networkPartner';
import type { ChoreHand, ChoreOrder, ChoreValue } from './chores';

/** What the thread makes is of no use a moment later; with more room it would only be collected later. */
const resourceLimits = { maxYoungGenerationSizeMb: 2 };

let startThread = () => new Worker(new URL('./helpingThread.ts', import.meta.url), { resourceLimits });

/** How a thread that runs helpingThread.ts is started where the app's own build does not do it. */
export function startPartnersBy(start: (options: WorkerOptions) => Worker): void {
  startThread = () => start({ resourceLimits });
}

/** An order, and what comes of it, as they cross between the threads. */
export interface NumberedOrder extends ChoreOrder {
  readonly number: number;
}
export interface ChoreReply {
  readonly number: number;
  readonly value: ChoreValue;
}

/** A second thread that takes part in reading photos. */
export type ThreadPartner = NetworkPartner & ChoreHand;

/**
 * A second thread for photos, started with the first one that it is wanted for (Node only). Where it can't be started, or ends, photos are
 * read without it.
 *
 * @param spare - above 0 while a processor has nothing to do
 */
export function threadPartner(spare: Int32Array<SharedArrayBuffer>): ThreadPartner {
  let worker: Worker | undefined;
  let isLost = false;
  let given = 0;
  /** Chores that somebody may wait for, by number. */
  const waiting = new Map<number, (value: ChoreValue) => void>();
  const settle = (number: number, value: ChoreValue) => {
    waiting.get(number)?.(value);
    if (waiting.delete(number) && waiting.size === 0) worker?.unref();
  };
  const lose = (cause: unknown) => {
    isLost = true;
    console.error('The thread that helps with photos ended; they are read without it:', cause);
    for (const number of [...waiting.keys()]) settle(number, undefined);
  };
  const hire = () => {
    const hired = startThread();
    hired.unref();
    let cause: unknown;
    hired.on('message', ({ number, value }: ChoreReply) => settle(number, value));
    hired.on('error', (error) => {
      cause = error;
    });
    // only from then on does it touch nothing
    hired.on('exit', (code) => lose(cause ?? `code ${code}`));
    return hired;
  };
  const post = (order: PartnerOrder | NumberedOrder): boolean => {
    if (isLost) return false;
    try {
      worker ??= hire();
      worker.postMessage(order);
    } catch (cause) {
      lose(cause);
    }
    return !isLost;
  };
  return {
    spare,
    help: post,
    take(order) {
      const number = given++;
      const value = new Promise<ChoreValue>((resolve) => waiting.set(number, resolve));
      if (!post({ ...order, number } satisfies NumberedOrder)) {
        waiting.delete(number);
        return undefined;
      }
      // the program does not end while it waits for the thread
      worker?.ref();
      return { value, leave: () => settle(number, undefined) };
    },
    async isThere() {
      await setImmediate();
      return !isLost;
    },
  };
}
