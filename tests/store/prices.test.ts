import { randomUUID } from 'node:crypto';
import { expect, test } from 'vitest';
import { latestPrices, savePrices } from '@/lib/store/prices';
import { temporaryStore } from './temporaryStore';

const price = (amount: number) => ({
  price: { amount, currency: 'USD', per: 'lb' as const },
  date: '2026-05-12',
  note: 'invented',
  payable: 0.8,
});

test('the prices entered last hold, and come back as entered', async () => {
  const store = await temporaryStore();
  expect(await latestPrices(store)).toBeUndefined();
  const id = randomUUID();
  await savePrices(store, id, { deckside: 'prices/1', metals: { copper: price(4) } });
  await savePrices(store, id, { deckside: 'prices/1', metals: { copper: price(9) } });
  expect((await latestPrices(store))?.sheet.metals.copper?.price.amount).toBe(4);
  expect(await store.db.selectFrom('price_sheet').selectAll().execute()).toHaveLength(1);
});

test('prices in two currencies are not kept', async () => {
  const store = await temporaryStore();
  const mixed = {
    deckside: 'prices/1' as const,
    metals: { copper: price(4) },
    freight: { amount: 40, currency: 'EUR', per: 't' as const },
  };
  await expect(savePrices(store, randomUUID(), mixed)).rejects.toThrow('different currencies');
  expect(await latestPrices(store)).toBeUndefined();
});
