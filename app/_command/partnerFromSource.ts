import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { startPartnersBy, type ThreadPartner, threadPartner } from '@/lib/grade/threadPartner';

/** A second thread for a program that reads one photo at a time. */
export function partnerFromSource(): ThreadPartner {
  startPartnersBy((options) => new Worker(new URL('./helpingThread.mjs', import.meta.url), options));
  return threadPartner(new Int32Array(new SharedArrayBuffer(4)).fill(availableParallelism() - 1));
}

/** The same once it is up, as a server's is that has practised. */
export async function readyPartner(): Promise<ThreadPartner> {
  const partner = partnerFromSource();
  const state = new Int32Array(new SharedArrayBuffer(4));
  await partner.take({ kind: 'ridges', of: [new Uint8Array(1), 1, 1], state })?.value;
  return partner;
}
