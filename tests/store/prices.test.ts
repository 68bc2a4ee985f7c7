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
	const send = (amount: number) => savePrices(store, id, { deckside: 'prices/1', metals: { copper: price(amount) } });
	await send(4);
	await send(4);
	expect(await store.db.selectFrom('price_sheet').selectAll().execute()).toHaveLength(1);
	// the answer was lost and a price mended before it was sent again
	await send(9);
	expect((await latestPrices(store))?.sheet.metals.copper?.price.amount).toBe(9);
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
