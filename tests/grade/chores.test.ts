import { createHash } from 'node:crypto';
import { Worker } from 'node:worker_threads';
import sharp from 'sharp';
import { afterEach, expect, test, vi } from 'vitest';
import { type ChoreHand, type ChoreOrder, doOrder } from '@/lib/grade/chores';
import { readPhoto } from '@/lib/grade/readPhoto';
import { startPartnersBy, threadPartner } from '@/lib/grade/threadPartner';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { decodePhoto } from '@/lib/photo/decode';

afterEach(() => vi.restoreAllMocks());

/** A photo of the demonstration, small: a mat, copper, plastic, shadows. */
const { raster } = await decodePhoto(
  await sharp('demo-images/dev-run-conc1-tray1.jpg').resize(1280).jpeg({ quality: 95 }).toBuffer(),
);

/** What is read, its labels in short. */
async function read(hand?: ChoreHand) {
  const said = await readPhoto(raster, { surface: 'auto', method: 'threshold' }, DEFAULT_MATERIAL, undefined, hand);
  return { ...said, classMap: createHash('sha256').update(said.classMap.labels).digest('hex') };
}

function words(value: number): Int32Array<SharedArrayBuffer> {
  return new Int32Array(new SharedArrayBuffer(4)).fill(value);
}

const alone = await read();

/** A hand on this very thread, and which chores it was given. */
function handHere(value: (order: ChoreOrder) => ReturnType<typeof doOrder> | Promise<never>, spare = words(1)) {
  const given: ChoreOrder[] = [];
  let left = 0;
  const hand: ChoreHand = {
    spare,
    take(order) {
      given.push(order);
      const done = value(order);
      return {
        value: Promise.resolve(done).then((one) => (one === 'taken back' ? undefined : one)),
        leave: () => left++,
      };
    },
  };
  return { hand, given, left: () => left };
}

test('a photo whose chores another hand does is read the same bit by bit', async () => {
  const { hand, given, left } = handHere((order) => doOrder(structuredClone(order)));
  expect(await read(hand)).toEqual(alone);
  expect(given.map(({ kind }) => kind)).toEqual(['light', 'colours', 'ridges']);
  expect(left()).toBe(0);
});

test('so is one whose other hand comes too late, and then it finds nothing to do', async () => {
  const { hand, given, left } = handHere(() => undefined);
  expect(await read(hand)).toEqual(alone);
  expect(left()).toBe(3);
  for (const order of given) expect(doOrder(order)).toBe('taken back');
});

test('so is one whose chores fail elsewhere', async () => {
  const { hand, given } = handHere((order) => doOrder({ ...order, of: [] }));
  expect(await read(hand)).toEqual(alone);
  expect(given).toHaveLength(3);
});

test('no hand is asked while all processors are busy, nor one that takes nothing', async () => {
  const { hand, given } = handHere(doOrder, words(0));
  expect(await read(hand)).toEqual(alone);
  expect(given).toHaveLength(0);
  expect(await read({ spare: words(1), take: () => undefined })).toEqual(alone);
});

/** Where the thread comes to its end: see dyingHelper.mjs; and the chores that it gets to before. */
const ENDS = [
  { where: 'start', how: 'throws', chore: 0 },
  { where: 'before', how: 'exits', chore: 1 },
  { where: 'within', how: 'isEnded', chore: 1 },
  { where: 'within', how: 'throws', chore: 2 },
  { where: 'within', how: 'exits', chore: 3 },
  { where: 'after', how: 'exits', chore: 1 },
  { where: 'after', how: 'isEnded', chore: 2 },
  { where: 'after', how: 'exits', chore: 3 },
  { where: 'never', how: 'exits', chore: 9 },
] as const;

test.each(ENDS)('a thread that ends ($where chore $chore, $how) costs the photo nothing', async (end) => {
  const state = words(0);
  const started: Worker[] = [];
  startPartnersBy((options) => {
    const dying = new Worker('./tests/grade/dyingHelper.mjs', { ...options, workerData: { ...end, state } });
    dying.on('message', ({ endMe }) => endMe && dying.terminate());
    started.push(dying);
    return dying;
  });
  const told = vi.spyOn(console, 'error').mockReturnValue();
  const partner = threadPartner(words(1));
  // every chore is left to the thread until it has begun on it or is at its end
  const patient: ChoreHand = {
    spare: partner.spare,
    take(order) {
      const taken = partner.take(order);
      while (end.where !== 'start' && order.state[0] === 0 && Atomics.load(state, 0) === 0)
        Atomics.wait(state, 0, 0, 5);
      return taken;
    },
  };
  expect(await read(patient)).toEqual(alone);
  if (end.where === 'never') {
    expect(told).not.toHaveBeenCalled();
    await started[0]?.terminate();
  }
  // word of a thread's end comes when the machine has time for it
  await vi.waitFor(() => expect(told).toHaveBeenCalledOnce(), 60_000);
  // nobody is started for the next one
  expect(await read(partner)).toEqual(alone);
  expect(started).toHaveLength(1);
});
