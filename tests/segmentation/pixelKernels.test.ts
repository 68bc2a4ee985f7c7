import fc from 'fast-check';
import { expect, test } from 'vitest';
import { cutSlowly, runsOf } from '@/lib/segmentation/labelRuns';
import { thinParts, thinSlowly } from '@/lib/segmentation/thinParts';

/** Boxes of several labels, each over those before it. */
const pictures = fc
  .record({
    width: fc.integer({ min: 1, max: 70 }),
    height: fc.integer({ min: 1, max: 50 }),
    boxes: fc.array(
      fc.record({
        left: fc.nat(70),
        top: fc.nat(50),
        across: fc.integer({ min: 1, max: 14 }),
        down: fc.integer({ min: 1, max: 14 }),
        label: fc.constantFrom(0, 1, 2, 5, 255),
      }),
      { maxLength: 30 },
    ),
  })
  .map(({ width, height, boxes }) => {
    const labels = new Uint8Array(width * height);
    for (const { left, top, across, down, label } of boxes)
      for (let row = top; row < Math.min(height, top + down); row++)
        if (left < width) labels.fill(label, row * width + left, row * width + Math.min(width, left + across));
    return { width, height, labels };
  });

test('runs cut by the kernels are those found pixel by pixel, with and without a field of their own', () => {
  fc.assert(
    fc.property(pictures, fc.integer({ min: 1, max: 9 }), ({ width, height, labels }, every) => {
      expect(runsOf(labels, width, height)).toEqual(cutSlowly(labels, width, height));
      const inside = labels.map((_, i) => (Math.floor(i / every) % 3 === 0 ? 0 : 1));
      expect(runsOf(labels, width, height, inside)).toEqual(cutSlowly(labels, width, height, inside));
    }),
  );
});

test('thin parts found by the kernels are those found run by run, of all classes and of some', () => {
  const some = new Uint8Array(16);
  some[1] = 255;
  some[5] = 255;
  fc.assert(
    fc.property(pictures, ({ width, height, labels }) => {
      expect(thinParts(labels, width, height)).toEqual(thinSlowly(labels, width, height));
      expect(thinParts(labels, width, height, some)).toEqual(thinSlowly(labels, width, height, some));
    }),
  );
});
