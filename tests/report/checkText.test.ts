import { expect, test } from 'vitest';
import { blankDoubt } from '@/lib/report/checkText';

test('a blank whose photo reads copper says what is taken for wrong calls; one that reads none says nothing', () => {
  expect(blankDoubt({ value: 0.986, low: 0.974, high: 0.992 })?.replaceAll('\u00a0', ' ')).toMatch(
    /^Its photo by itself reads copper 98\.6 % \(97\.4 to 99\.2\)\. .*remove this check\.$/,
  );
  expect(blankDoubt({ value: 0.001, low: 0, high: 0.013, belowDetectionLimit: true })).toBeUndefined();
});
