// A thread that comes to an end while it helps with a photo: `workerData` says where and how.
import { parentPort, workerData } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

/** `where`: before, within or after the so-manieth chore. `state`: 1 from its end on. */
const { where, chore, how, state } = workerData;
if (where === 'start') throw new Error('ends at its start');

const ends = {
  throws() {
    throw new Error('ends in the middle');
  },
  exits() {
    process.exit(3);
  },
  isEnded() {
    parentPort.postMessage({ endMe: true });
    for (;;);
  },
};
function end() {
  Atomics.store(state, 0, 1);
  Atomics.notify(state, 0);
  ends[how]();
}

let left = chore;
const { on } = parentPort;
parentPort.on = (event, listener) =>
  on.call(parentPort, event, (order) => {
    left--;
    if (where === 'before' && left === 0) end();
    if (where === 'within' && left === 0) {
      Atomics.store(order.state, 0, 1);
      end();
    }
    listener(order);
    if (where === 'after' && left === 0) end();
  });
register();
await import('../../lib/grade/helpingThread.ts');
