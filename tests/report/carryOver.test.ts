import { expect, test } from 'vitest';
import { carryOverWarning } from '@/lib/report/carryOver';

test('only the first run after a change without washing through carries the warning', () => {
  expect(carryOverWarning(undefined)).toBeUndefined();
  expect(carryOverWarning({ strokeLengthMm: 14 })).toBeUndefined();
  expect(carryOverWarning({ firstAfterChange: true })).toMatchObject({
    code: 'carry-over',
    message: expect.stringContaining('from before is in these figures'),
  });
});
