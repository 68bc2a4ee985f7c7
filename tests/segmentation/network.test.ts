import { expect, test } from 'vitest';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { MODEL_FOLDER, modelSource } from '@/lib/segmentation/modelFiles';
import { loadPixelModel, type ModelPicture } from '@/lib/segmentation/pixelModel';

/** A picture of smooth patches and noise, so that every layer has something to do. */
function picture(width: number, height: number, seed: number): ModelPicture {
  const random = seededRandom(seed, 'network test');
  const linear = Float32Array.from({ length: width * height * 3 }, (_, i) => {
    const column = Math.floor(i / 3) % width;
    const row = Math.floor(i / 3 / width);
    return 0.4 + 0.3 * Math.sin(column / 7 + (i % 3)) * Math.cos(row / 5) + 0.4 * (random.uniform() - 0.5);
  });
  return { width, height, linear };
}

test('the own kernels and TensorFlow.js give the same features and shares, whatever the size', async () => {
  const source = await modelSource(MODEL_FOLDER);
  const own = await loadPixelModel(source);
  const twin = await loadPixelModel(source, 'tensorflow');
  // 13, 26 and 52 at an eighth, a quarter and a half: none, one and two fours with a rest; then smaller, on used memory
  for (const [width, height, seed] of [
    [104, 72, 1],
    [72, 40, 2],
    [8, 8, 3],
  ] as const) {
    const some = picture(width, height, seed);
    for (const read of ['predict', 'features'] as const) {
      const [ours, theirs] = [await own[read](some), await twin[read](some)];
      expect(ours.length).toBe(theirs.length);
      const most = ours.reduce((worst, value, i) => Math.max(worst, Math.abs(value - theirs[i]!)), 0);
      const size = theirs.reduce((largest, value) => Math.max(largest, Math.abs(value)), 0);
      // single precision through some twenty layers, sums taken in another order
      expect(most / size).toBeLessThan(3e-5);
      expect(size).toBeGreaterThan(0.5);
    }
  }
});

test('another last layer stands in for the own one', async () => {
  const model = await loadPixelModel(await modelSource(MODEL_FOLDER));
  const some = picture(16, 8, 4);
  const own = await model.predict(some);
  const same = await model.predict(some, model.head);
  for (const [i, share] of own.entries()) expect(same[i]).toBeCloseTo(share, 5);
  const bias = model.head.bias.map((value, c) => (c === 2 ? 1000 : value));
  const third = await model.predict(some, { ...model.head, bias });
  for (let i = 0; i < third.length; i += 6) expect(third[i + 2]).toBe(1);
});
