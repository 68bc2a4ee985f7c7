import { expect, test } from 'vitest';
import { worthDifferenceSentence } from '@/lib/report/moneySentences';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { worthDifferenceOf } from '@/lib/value/worthDifference';
import { exactRun, SHORT_TON_KG } from './exactRun';

const sheet = priceSheetSchema.parse({
	deckside: 'prices/1',
	metals: {
		copper: {
			price: { amount: 4, currency: 'USD', per: 'lb' },
			date: '2026-05-12',
			note: 'invented',
			payable: 0.8,
		},
	},
	perTon: 'shortTon',
});

test('five points more recovery of 80 lb at 4.00 and 80 % payable are 12.80 a short ton', () => {
	const worth = worthDifferenceOf(exactRun(0.85), exactRun(0.9), sheet)!;
	expect(worth.perKg.value * SHORT_TON_KG).toBeCloseTo(80 * 0.05 * 4 * 0.8, 9);
	expect(worth.probabilityMore).toBe(1);
	expect(worthDifferenceSentence(worth, { base: 'run 3', other: 'run 4' }, sheet, 'USD')).toContain(
		'run 4 brings more than run 3',
	);
});

test('without a price there is no worth to compare', () => {
	const none = priceSheetSchema.parse({ deckside: 'prices/1' });
	expect(worthDifferenceOf(exactRun(0.85), exactRun(0.9), none)).toBeUndefined();
});
