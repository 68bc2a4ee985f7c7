import { expect, test } from 'vitest';
import { nextBin, tableAddress, tableStepOf } from '@/app/_forms/tableSteps';

const bin = (id: string, spreads: number, weighed: boolean) => ({
  id,
  spreads: Array.from({ length: spreads }),
  ...(weighed ? { weighing: {} } : {}),
});

test('a bin is photographed, then weighed, then done', () => {
  expect(tableStepOf(bin('a', 0, false))).toBe('shoot');
  expect(tableStepOf(bin('a', 0, true))).toBe('shoot');
  expect(tableStepOf(bin('a', 1, false))).toBe('weigh');
  expect(tableStepOf(bin('a', 3, true))).toBe('done');
  expect(tableAddress('r', bin('a', 1, false))).toBe('/runs/r/table/a/weigh');
  expect(tableAddress('r', undefined)).toBe('/runs/r/table');
});

test('the next bin is the next in line with something left to do, the same one never', () => {
  const bins = [bin('a', 0, false), bin('b', 1, true), bin('c', 1, false)];
  expect(nextBin(bins)?.id).toBe('a');
  expect(nextBin(bins, 'a')?.id).toBe('c');
  expect(nextBin(bins, 'c')?.id).toBe('a');
  expect(nextBin([bin('a', 0, false)], 'a')).toBeUndefined();
  expect(nextBin([bin('a', 1, true)])).toBeUndefined();
});
