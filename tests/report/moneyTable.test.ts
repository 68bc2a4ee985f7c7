import { expect, test } from 'vitest';
import { moneyCsv } from '@/lib/report/moneyTable';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { exactRun } from '../value/exactRun';

test('the money table has a unit on every line, 80 lb in a short ton of 4 % waste among them', () => {
  const sheet = priceSheetSchema.parse({
    deckside: 'prices/1',
    metals: {
      copper: { price: { amount: 4, currency: 'USD', per: 'lb' }, date: '2026-05-12', note: 'invented', payable: 0.8 },
    },
    otherCosts: { amount: 60, currency: 'USD', per: 'shortTon' },
    perTon: 'shortTon',
  });
  const lines = moneyCsv(valueOfRun(exactRun(), sheet), sheet)
    .trimEnd()
    .split('\r\n')
    .map((line) => line.split(','));
  const find = (figure: string, unit: string) => lines.find(([name, of]) => name === figure && of === unit);
  expect(Number(find('Copper in the waste', 'lb per short ton')![2])).toBeCloseTo(80, 9);
  expect(Number(find('Net margin', 'USD per short ton of dry waste')![2])).toBeCloseTo(157.6, 9);
  for (const line of lines) expect(line).toHaveLength(6);
  for (const [, unit] of lines) expect(unit).not.toBe('');
});
