import { parentPort } from 'node:worker_threads';
import { helpOut, type PartnerOrder } from '../segmentation/networkPartner';
import { doOrder } from './chores';
import type { ChoreReply, NumberedOrder } from './threadPartner';

/** The thread that helps with photos: with a network, one picture at a time, and with chores. */
parentPort?.on('message', (order: PartnerOrder | NumberedOrder) => {
  if (!('number' in order)) return helpOut(order);
  const value = doOrder(order);
  if (value === 'taken back') return;
  parentPort?.postMessage({ number: order.number, value } satisfies ChoreReply, buffersOf(value));
});

/** The arrays of what a chore gives: handed over, not copied. */
function buffersOf(value: object = {}): ArrayBuffer[] {
  const buffers = Object.values(value).flatMap((part) => (ArrayBuffer.isView(part) ? [part.buffer] : []));
  return [...new Set(buffers)] as ArrayBuffer[]; // chores share nothing
}
