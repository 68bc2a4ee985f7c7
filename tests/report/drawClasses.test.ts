import { expect, test } from 'vitest';
import { drawClasses } from '@/lib/report/drawClasses';

const GREY = new Uint8Array([200, 200, 200, 200]);
// bare surface, bright copper, insulation, not judged
const LABELS = new Uint8Array([0, 1, 4, 255]);
const pixel = (rgb: Uint8Array, i: number) => [...rgb.subarray(3 * i, 3 * i + 3)];

test('each class is drawn in its colour and the bare surface in grey', () => {
  const rgb = drawClasses(GREY, LABELS);
  expect(pixel(rgb, 0)).toEqual([170, 170, 170]);
  expect(pixel(rgb, 1)).toEqual([0x00, 0x72, 0xb2]);
  expect(pixel(rgb, 2)).toEqual([0xd5, 0x5e, 0x00]);
  expect(pixel(rgb, 3)).toEqual([255, 255, 255]);
});

test('one class alone leaves all other pieces dark grey', () => {
  const rgb = drawClasses(GREY, LABELS, 'insulation');
  expect(pixel(rgb, 1)).toEqual([90, 90, 90]);
  expect(pixel(rgb, 2)).toEqual([0xd5, 0x5e, 0x00]);
  expect(pixel(rgb, 3)).toEqual([90, 90, 90]);
});

test('a class map of another size is a mistake of the caller', () => {
  expect(() => drawClasses(GREY, new Uint8Array(3))).toThrow(RangeError);
});
